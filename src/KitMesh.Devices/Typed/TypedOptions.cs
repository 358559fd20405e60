using KitMesh.Devices.Options;

namespace KitMesh.Devices.Typed;

/// <summary>Options of a folder into which people's typed readings are dropped.</summary>
/// <param name="Folder">The folder; every file that ends in <c>.jsonl</c> is read.</param>
/// <param name="Interval">World time after which it is looked at even when nothing seemed to change.</param>
internal sealed record TypedOptions(string Folder, TimeSpan Interval)
{
    /// <summary>Reads the options.</summary>
    public static TypedOptions Read(OptionMap map) => new(
        map.FilePath("folder", "the folder into which readings are dropped"),
        PollLoop.Interval(map, TimeSpan.FromMinutes(5)));
}
