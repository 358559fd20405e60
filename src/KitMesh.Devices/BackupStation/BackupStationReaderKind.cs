using KitMesh.Devices.Options;

namespace KitMesh.Devices.BackupStation;

/// <summary>Watches for cards, copies them to drives, reads every copy back.</summary>
public sealed class BackupStationReaderKind : IReaderKind
{
    /// <inheritdoc/>
    public string Name => "backup-station";

    /// <inheritdoc/>
    public ReaderFactory? Configure(string name, OptionMap options)
    {
        ArgumentNullException.ThrowIfNull(options);
        int before = options.Problems.Count;
        BackupStationReaderOptions read = BackupStationReaderOptions.Read(options);
        return options.Problems.Count > before ? null : context => new BackupStationReader(name, read, context);
    }
}
