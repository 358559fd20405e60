using KitMesh.Devices.Options;

namespace KitMesh.Devices.PowerController;

/// <summary>Reads charge controllers and batteries that speak SunSpec over Modbus.</summary>
public sealed class SunSpecReaderKind : IReaderKind
{
    /// <inheritdoc/>
    public string Name => "sunspec";

    /// <inheritdoc/>
    public ReaderFactory? Configure(string name, OptionMap options)
    {
        ArgumentNullException.ThrowIfNull(options);
        int before = options.Problems.Count;
        SunSpecOptions read = SunSpecOptions.Read(options);
        if (!read.Subjects.Any)
        {
            options.AddProblem("battery", "Nothing is named that this device measures.", "Add \"battery: ...\" and \"panel: ...\" with the names of the trip file.");
        }

        return options.Problems.Count > before ? null : context => new SunSpecReader(name, read, context);
    }
}
