using KitMesh.Devices.Options;

namespace KitMesh.Devices.OneWire;

/// <summary>Reads thermometers on a 1-Wire bus.</summary>
public sealed class OneWireReaderKind : IReaderKind
{
    /// <inheritdoc/>
    public string Name => "one-wire";

    /// <inheritdoc/>
    public ReaderFactory? Configure(string name, OptionMap options)
    {
        ArgumentNullException.ThrowIfNull(options);
        int before = options.Problems.Count;
        OneWireOptions read = OneWireOptions.Read(options);
        return options.Problems.Count > before ? null : context => new OneWireReader(name, read, context);
    }
}
