using System.Collections.Frozen;
using System.Globalization;

namespace KitMesh.Devices.Mapping;

/// <summary>What one number of a device stands for: a kind of thing, which of several, and a field of its report.</summary>
/// <param name="Target">The kind of thing.</param>
/// <param name="Field">The field.</param>
/// <param name="Index">Which of several things of that kind, from 1.</param>
internal readonly record struct Meaning(ReadingTarget Target, ReadingField Field, int Index)
{
    private static readonly FrozenDictionary<string, (ReadingTarget Target, ReadingField Field)> Words =
        new Dictionary<string, (ReadingTarget, ReadingField)>
        {
            ["battery volts"] = (ReadingTarget.Battery, ReadingField.Volts),
            ["battery amperes"] = (ReadingTarget.Battery, ReadingField.Amperes),
            ["battery watts"] = (ReadingTarget.Battery, ReadingField.Watts),
            ["battery charge"] = (ReadingTarget.Battery, ReadingField.Charge),
            ["battery probe"] = (ReadingTarget.Battery, ReadingField.Temperature),
            ["battery lowest cell"] = (ReadingTarget.Battery, ReadingField.LowestCell),
            ["battery highest cell"] = (ReadingTarget.Battery, ReadingField.HighestCell),
            ["panel volts"] = (ReadingTarget.Panel, ReadingField.Volts),
            ["panel amperes"] = (ReadingTarget.Panel, ReadingField.Amperes),
            ["panel watts"] = (ReadingTarget.Panel, ReadingField.Watts),
            ["panel yield"] = (ReadingTarget.Panel, ReadingField.Energy),
            ["panel sun hours"] = (ReadingTarget.Panel, ReadingField.Hours),
            ["load watts"] = (ReadingTarget.Load, ReadingField.Watts),
            ["load energy"] = (ReadingTarget.Load, ReadingField.Energy),
            ["load charge"] = (ReadingTarget.Load, ReadingField.Charge),
            ["load temperature"] = (ReadingTarget.Load, ReadingField.Temperature),
            ["thermometer temperature"] = (ReadingTarget.Thermometer, ReadingField.Temperature),
        }.ToFrozenDictionary(StringComparer.Ordinal);

    /// <summary>Every meaning in words, for messages.</summary>
    public static string Known => string.Join(", ", Words.Keys.Order(StringComparer.Ordinal));

    /// <summary>Reads words such as <c>battery volts</c> or, for the second of several, <c>panel 2 watts</c>.</summary>
    public static bool TryParse(string text, out Meaning meaning)
    {
        meaning = default;
        string[] parts = text.Split(' ', 3);
        int index = 1;
        if (parts.Length == 3 && int.TryParse(parts[1], NumberStyles.None, CultureInfo.InvariantCulture, out int number) && number is >= 1 and <= 99)
        {
            index = number;
            text = $"{parts[0]} {parts[2]}";
        }

        if (!Words.TryGetValue(text, out (ReadingTarget Target, ReadingField Field) found))
        {
            return false;
        }

        meaning = new Meaning(found.Target, found.Field, index);
        return true;
    }
}
