using KitMesh.Devices.Mapping;
using KitMesh.Devices.Options;
using KitMesh.Devices.Sysfs;

namespace KitMesh.Devices.Hwmon;

/// <summary>Options of a sensor chip of the Linux class <c>hwmon</c>.</summary>
internal static class HwmonOptions
{
    // Linux kernel, Documentation/hwmon/sysfs-interface.rst: power is in microwatts here, in milliwatts in IIO.
    private static readonly (string Prefix, string Unit)[] Prefixes =
        [("in", "mV"), ("curr", "mA"), ("temp", "m°C"), ("power", "uW"), ("energy", "uJ")];

    /// <summary>Reads the options.</summary>
    public static ChipOptions Read(OptionMap map)
    {
        string root = map.FilePath("root", "folder of the class", "/sys/class/hwmon");
        string chip = map.Text("chip", "what the chip's file \"name\" says");
        TimeSpan interval = PollLoop.Interval(map, TimeSpan.FromSeconds(60));
        ReadingSubjects subjects = ReadingSubjects.Read(map);
        List<HwmonInput> inputs = [.. map.Children("inputs").Select(Input).OfType<HwmonInput>()];
        if (!map.Has("inputs"))
        {
            map.AddProblem("inputs", "No sensors are listed.", "Add \"- input: temp1\" and \"meaning: thermometer temperature\".");
        }

        return new ChipOptions("chip", root, chip, interval, inputs, subjects);
    }

    private static HwmonInput? Input(OptionMap map)
    {
        string name = map.Text("input", "the sensor, such as temp1");
        string words = map.Text("meaning", "what it stands for");
        map.RefuseUnknownKeys();
        if (!Meaning.TryParse(words, out Meaning meaning))
        {
            map.AddProblem("meaning", $"\"{words}\" does not fit.", $"Write one of {Meaning.Known}.");
            return null;
        }

        foreach ((string prefix, string unitText) in Prefixes)
        {
            if (name.StartsWith(prefix, StringComparison.Ordinal) && name.Length > prefix.Length && name[prefix.Length..].All(char.IsAsciiDigit)
                && DeviceUnit.TryFind(unitText, meaning.Field, out DeviceUnit unit))
            {
                return new(name, unit, meaning);
            }
        }

        map.AddProblem("input", $"\"{name}\" does not give \"{words}\".", "Use in0 for volts, curr1 for amperes, temp1 for temperatures, power1 for watts, energy1 for energy, with the chip's own number.");
        return null;
    }
}
