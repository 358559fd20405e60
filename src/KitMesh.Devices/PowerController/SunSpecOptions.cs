using KitMesh.Devices.Mapping;
using KitMesh.Devices.Modbus;
using KitMesh.Devices.Options;

namespace KitMesh.Devices.PowerController;

/// <summary>Options of a SunSpec device.</summary>
/// <param name="Link">Where it is.</param>
/// <param name="Interval">World time between polls.</param>
/// <param name="Sign">Sign of its battery current.</param>
/// <param name="ControllerCurrentIsBatteryCurrent">
/// Whether the output current of a charge controller (model 64111) is all that flows into the battery.
/// </param>
internal sealed record SunSpecOptions(ModbusLinkOptions Link, TimeSpan Interval, CurrentSign Sign, bool ControllerCurrentIsBatteryCurrent)
{
    /// <summary>The words for the sign of a current.</summary>
    public static readonly IReadOnlyDictionary<string, CurrentSign> SignWords = new Dictionary<string, CurrentSign>(StringComparer.Ordinal)
    {
        ["by-state"] = CurrentSign.ByState,
        ["charge-positive"] = CurrentSign.ChargePositive,
        ["discharge-positive"] = CurrentSign.DischargePositive,
    };

    /// <summary>What the reader's names are.</summary>
    public required ReadingSubjects Subjects { get; init; }

    /// <summary>Reads the options.</summary>
    public static SunSpecOptions Read(OptionMap map) => new(
        ModbusLinkOptions.Read(map),
        PollLoop.Interval(map, TimeSpan.FromSeconds(30)),
        map.Choice("currentSign", SignWords, "by-state"),
        map.Flag("controllerFeedsOnlyBattery", true))
    {
        Subjects = ReadingSubjects.Read(map),
    };
}
