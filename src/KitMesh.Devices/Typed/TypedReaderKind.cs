using KitMesh.Devices.Options;

namespace KitMesh.Devices.Typed;

/// <summary>Reads what people type: a multimeter's rested volts, a thermometer, panel hours. Twenty seconds a day.</summary>
public sealed class TypedReaderKind : IReaderKind
{
    /// <inheritdoc/>
    public string Name => "typed";

    /// <inheritdoc/>
    public ReaderFactory? Configure(string name, OptionMap options)
    {
        ArgumentNullException.ThrowIfNull(options);
        int before = options.Problems.Count;
        TypedOptions read = TypedOptions.Read(options);
        return options.Problems.Count > before ? null : context => new TypedReader(name, read, context);
    }
}
