using KitMesh.Devices.Options;

namespace KitMesh.Devices.CsvLog;

/// <summary>Follows a CSV file that a logger appends to.</summary>
public sealed class CsvLogReaderKind : IReaderKind
{
    /// <inheritdoc/>
    public string Name => "csv-log";

    /// <inheritdoc/>
    public ReaderFactory? Configure(string name, OptionMap options)
    {
        ArgumentNullException.ThrowIfNull(options);
        int before = options.Problems.Count;
        CsvLogOptions read = CsvLogOptions.Read(options);
        return options.Problems.Count > before ? null : context => new CsvLogReader(name, read, context);
    }
}
