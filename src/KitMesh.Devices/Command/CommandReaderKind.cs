using KitMesh.Devices.Options;

namespace KitMesh.Devices.Command;

/// <summary>Runs a program that prints readings as JSON lines: the way to any device that KitMesh does not know.</summary>
public sealed class CommandReaderKind : IReaderKind
{
    /// <inheritdoc/>
    public string Name => "command";

    /// <inheritdoc/>
    public ReaderFactory? Configure(string name, OptionMap options)
    {
        ArgumentNullException.ThrowIfNull(options);
        int before = options.Problems.Count;
        CommandOptions read = CommandOptions.Read(options);
        return options.Problems.Count > before ? null : context => new CommandReader(name, read, context);
    }
}
