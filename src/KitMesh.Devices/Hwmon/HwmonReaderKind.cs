using KitMesh.Devices.Options;
using KitMesh.Devices.Sysfs;

namespace KitMesh.Devices.Hwmon;

/// <summary>Reads sensor chips from the Linux class <c>hwmon</c>.</summary>
public sealed class HwmonReaderKind : IReaderKind
{
    /// <inheritdoc/>
    public string Name => "hwmon";

    /// <inheritdoc/>
    public ReaderFactory? Configure(string name, OptionMap options)
    {
        ArgumentNullException.ThrowIfNull(options);
        int before = options.Problems.Count;
        ChipOptions read = HwmonOptions.Read(options);
        return options.Problems.Count > before ? null : context => new ChipReader(name, read, context);
    }
}
