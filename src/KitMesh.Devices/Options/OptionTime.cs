using System.Globalization;

namespace KitMesh.Devices.Options;

/// <summary>Lengths of time as people write them: a number and ms, s, min, h or d.</summary>
public static class OptionTime
{
    private static readonly (string Unit, double Seconds)[] Units = [("ms", 1e-3), ("min", 60), ("s", 1), ("h", 3600), ("d", 86400)];

    /// <summary>Reads a length of time.</summary>
    /// <param name="text">The text.</param>
    /// <param name="time">The time when the text is one.</param>
    public static bool TryParse(string text, out TimeSpan time)
    {
        time = default;
        foreach ((string unit, double seconds) in Units)
        {
            if (text.EndsWith(unit, StringComparison.Ordinal)
                && double.TryParse(text[..^unit.Length].TrimEnd(), NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out double number)
                && number * seconds < 1e9)
            {
                time = TimeSpan.FromSeconds(number * seconds);
                return true;
            }
        }

        return false;
    }

    /// <summary>The time in its largest whole unit.</summary>
    /// <param name="time">The time.</param>
    public static string Show(TimeSpan time)
    {
        double seconds = time.TotalSeconds;
        (string unit, double size) = seconds switch
        {
            >= 86400 when seconds % 86400 == 0 => ("d", 86400d),
            >= 3600 when seconds % 3600 == 0 => ("h", 3600d),
            >= 60 when seconds % 60 == 0 => ("min", 60d),
            >= 1 => ("s", 1d),
            _ => ("ms", 1e-3),
        };
        return string.Create(CultureInfo.InvariantCulture, $"{seconds / size:0.###} {unit}");
    }
}
