using KitMesh.Devices.Mapping;
using KitMesh.Devices.Options;
using KitMesh.Domain.Reports;

namespace KitMesh.Devices.OneWire;

/// <summary>Options of thermometers on a 1-Wire bus.</summary>
/// <param name="Root">Folder of the devices.</param>
/// <param name="Interval">World time between polls; each conversion takes up to 0.75 s and some current.</param>
/// <param name="Sensors">The thermometers.</param>
internal sealed record OneWireOptions(string Root, TimeSpan Interval, IReadOnlyList<OneWireSensor> Sensors)
{
    /// <summary>Reads the options.</summary>
    public static OneWireOptions Read(OptionMap map)
    {
        string root = map.FilePath("root", "folder of the devices", "/sys/bus/w1/devices");
        TimeSpan interval = PollLoop.Interval(map, TimeSpan.FromSeconds(60));
        List<OneWireSensor> sensors = [.. map.Children("sensors").Select(Sensor).OfType<OneWireSensor>()];
        if (!map.Has("sensors"))
        {
            map.AddProblem("sensors", "No thermometers are listed.", "Add \"- device: 28-...\" with \"battery: ...\" for a probe on cells or \"thermometer: ...\" for a box or place.");
        }

        return new(root, interval, sensors);
    }

    private static OneWireSensor? Sensor(OptionMap map)
    {
        string device = map.Text("device", "the sensor's folder name, such as 28-0000075fe7a1");
        KitId? battery = map.OptionalKit("battery");
        KitId? thermometer = map.OptionalKit("thermometer");
        map.RefuseUnknownKeys();
        if (battery is null == thermometer is null)
        {
            map.AddProblem("battery", "Exactly one of battery and thermometer must be named.", "Write \"battery:\" for a probe on cells, \"thermometer:\" for a box or place.");
            return null;
        }

        return battery is { } pack ? new(device, ReadingTarget.Battery, pack) : new(device, ReadingTarget.Thermometer, thermometer!.Value);
    }
}
