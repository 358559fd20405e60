using KitMesh.Devices.Options;

namespace KitMesh.Devices.PowerSupply;

/// <summary>Reads a battery from the Linux class <c>power_supply</c>.</summary>
public sealed class PowerSupplyReaderKind : IReaderKind
{
    /// <inheritdoc/>
    public string Name => "power-supply";

    /// <inheritdoc/>
    public ReaderFactory? Configure(string name, OptionMap options)
    {
        ArgumentNullException.ThrowIfNull(options);
        int before = options.Problems.Count;
        PowerSupplyOptions read = PowerSupplyOptions.Read(options);
        if (options.Problems.Count == before && read.Battery is null == read.Load is null)
        {
            options.AddProblem("battery", "Exactly one of battery and load must be named.", "Write \"battery:\" for a pack of the bank, \"load:\" for a device's own battery.");
        }

        return options.Problems.Count > before ? null : context => new PowerSupplyReader(name, read, context);
    }
}
