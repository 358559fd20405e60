using KitMesh.Devices.Options;
using KitMesh.Devices.PowerController;
using KitMesh.Domain.Reports;

namespace KitMesh.Devices.PowerSupply;

/// <summary>Options of a battery that the Linux kernel knows.</summary>
/// <param name="Folder">Its folder, <c>root/supply</c>.</param>
/// <param name="Interval">World time between polls.</param>
/// <param name="Sign">Sign of its current; drivers differ.</param>
/// <param name="Battery">The pack or bank that it is; null when it is a load's own battery.</param>
/// <param name="Load">The load whose own battery it is.</param>
internal sealed record PowerSupplyOptions(string Folder, TimeSpan Interval, CurrentSign Sign, KitId? Battery, KitId? Load)
{
    /// <summary>Reads the options.</summary>
    public static PowerSupplyOptions Read(OptionMap map) => new(
        Path.Combine(map.FilePath("root", "folder of the class", "/sys/class/power_supply"), map.Text("supply", "the supply's folder name, such as BAT0")),
        PollLoop.Interval(map, TimeSpan.FromSeconds(60)),
        map.Choice("currentSign", SunSpecOptions.SignWords, "by-state"),
        map.OptionalKit("battery"),
        map.OptionalKit("load"));
}
