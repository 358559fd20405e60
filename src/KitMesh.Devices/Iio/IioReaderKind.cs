using KitMesh.Devices.Options;
using KitMesh.Devices.Sysfs;

namespace KitMesh.Devices.Iio;

/// <summary>Reads converters of the Linux Industrial I/O subsystem.</summary>
public sealed class IioReaderKind : IReaderKind
{
    /// <inheritdoc/>
    public string Name => "iio";

    /// <inheritdoc/>
    public ReaderFactory? Configure(string name, OptionMap options)
    {
        ArgumentNullException.ThrowIfNull(options);
        int before = options.Problems.Count;
        ChipOptions read = IioOptions.Read(options);
        return options.Problems.Count > before ? null : context => new ChipReader(name, read, context);
    }
}
