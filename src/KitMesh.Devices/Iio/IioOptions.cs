using KitMesh.Devices.Mapping;
using KitMesh.Devices.Options;
using KitMesh.Devices.Sysfs;

namespace KitMesh.Devices.Iio;

/// <summary>Options of a converter of the Linux Industrial I/O subsystem.</summary>
internal static class IioOptions
{
    private static readonly (string Prefix, string Unit)[] Prefixes =
        [("voltage", "mV"), ("current", "mA"), ("temp", "m°C"), ("power", "mW")];

    /// <summary>Reads the options.</summary>
    public static ChipOptions Read(OptionMap map)
    {
        string root = map.FilePath("root", "folder of the devices", "/sys/bus/iio/devices");
        string device = map.Text("device", "what the device's file \"name\" says");
        TimeSpan interval = PollLoop.Interval(map, TimeSpan.FromSeconds(60));
        ReadingSubjects subjects = ReadingSubjects.Read(map);
        List<IioChannel> channels = [.. map.Children("channels").Select(Channel).OfType<IioChannel>()];
        if (!map.Has("channels"))
        {
            map.AddProblem("channels", "No channels are listed.", "Add \"- channel: voltage0\" and \"meaning: battery volts\".");
        }

        return new ChipOptions("device", root, device, interval, channels, subjects);
    }

    private static IioChannel? Channel(OptionMap map)
    {
        string name = map.Text("channel", "the channel, such as voltage0");
        string words = map.Text("meaning", "what it stands for");
        double factor = map.Number("scale", "", -1e9, 1e9, 1);
        map.RefuseUnknownKeys();
        if (!Meaning.TryParse(words, out Meaning meaning))
        {
            map.AddProblem("meaning", $"\"{words}\" does not fit.", $"Write one of {Meaning.Known}.");
            return null;
        }

        foreach ((string prefix, string unitText) in Prefixes)
        {
            if (name.StartsWith(prefix, StringComparison.Ordinal) && DeviceUnit.TryFind(unitText, meaning.Field, out DeviceUnit unit))
            {
                return new(name, unit with { Factor = unit.Factor * factor }, meaning);
            }
        }

        map.AddProblem("channel", $"\"{name}\" does not give \"{words}\".", "Use voltage0 for volts, current0 for amperes, temp0 for temperatures, power0 for watts, with the device's own number.");
        return null;
    }
}
