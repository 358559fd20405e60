using System.Globalization;
using System.Text;

namespace KitMesh.Domain.Digest;

// Problem: a team far from base camp has a link of 51 to 340 bytes a day, or a voice and a pencil.
// Trap: a line that is misread is worse than none, and a line that was cut to fit must say what was cut.
// Method: docs/digest-line.md: five-bit symbols of a fixed layout, six check symbols, and an order in which parts are left out when the line is short:
// the heaviest alert, the bank most likely to run short and the drive that fills first always come before second ones and before the days.

/// <summary>Digest lines to text and back.</summary>
public static class DigestLine
{
    /// <summary>The most symbols of any line.</summary>
    public const int MaxSymbols = (int)DigestSize.Satellite340;

    /// <summary>Writes as much as fits.</summary>
    /// <param name="content">Everything there is to say, the most pressing first in every list.</param>
    /// <param name="size">How long the line may be.</param>
    public static string Write(DigestContent content, DigestSize size)
    {
        ArgumentNullException.ThrowIfNull(content);
        byte[] data = [.. DigestLayout.Write(Fit(content, size))];
        var line = new StringBuilder(data.Length + LineCheck.Symbols);
        foreach (byte symbol in data.Concat(LineCheck.Of(data)))
        {
            line.Append(LineAlphabet.Symbol(symbol));
        }

        return line.ToString();
    }

    /// <summary>Reads a line as somebody typed it.</summary>
    /// <param name="text">The line; blanks, hyphens and small letters do not matter.</param>
    public static DigestReading Read(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        var symbols = new List<byte>();
        foreach (char character in text)
        {
            int value = LineAlphabet.Value(character);
            if (value == -1)
            {
                return Refuse(string.Create(CultureInfo.InvariantCulture, $"Character {symbols.Count + 1}, \"{character}\", is none of the line's symbols {LineAlphabet.Symbols}."));
            }

            if (value >= 0)
            {
                symbols.Add((byte)value);
            }

            if (symbols.Count > MaxSymbols)
            {
                return Refuse(string.Create(CultureInfo.InvariantCulture, $"The line has more than {MaxSymbols} symbols."));
            }
        }

        return Read([.. symbols]);
    }

    /// <summary>The line in groups of five, for reading aloud.</summary>
    /// <param name="line">A line in its plain form.</param>
    public static string Grouped(string line)
    {
        ArgumentNullException.ThrowIfNull(line);
        return string.Join('-', line.Chunk(5).Select(group => new string(group)));
    }

    private static DigestReading Read(byte[] symbols)
    {
        if (symbols.Length <= LineCheck.Symbols)
        {
            return Refuse(string.Create(CultureInfo.InvariantCulture, $"The line has {symbols.Length} symbols; too few for any."));
        }

        if (!LineCheck.Holds(symbols))
        {
            ValueList<int> suspects = LineCheck.Suspects(symbols);
            string where = suspects.Count == 1
                ? string.Create(CultureInfo.InvariantCulture, $" Look again at symbol {suspects[0]}, in group {((suspects[0] - 1) / 5) + 1} of five.")
                : " Read it again with the sender, group by group.";
            return new DigestReading.Refused($"The check symbols do not fit: something in the line is wrong, swapped or missing.{where}", suspects);
        }

        byte[] data = symbols[..^LineCheck.Symbols];
        if (data[0] != DigestLayout.Version)
        {
            return Refuse(string.Create(CultureInfo.InvariantCulture, $"The line is whole, but of version {data[0]}; this program reads version {DigestLayout.Version}."));
        }

        return DigestLayout.Read(data) is { } content
            ? new DigestReading.Read(content, string.Concat(symbols.Select(symbol => LineAlphabet.Symbol(symbol))))
            : Refuse("The check symbols fit, but the line does not follow the layout: it was not made by a digest.");
    }

    private static DigestReading.Refused Refuse(string reason) => new(reason, []);

    /// <summary>As many of each part as find room, taken in the order of docs/digest-line.md.</summary>
    private static DigestContent Fit(DigestContent all, DigestSize size)
    {
        int room = (((int)size - LineCheck.Symbols) * 5) - DigestLayout.FixedBits - (all.Footage is null ? 0 : DigestLayout.FootageBits);
        int banks = 0;
        int alerts = 0;
        int drives = 0;
        int days = 0;
        int mostDrives = Math.Min(DigestContent.MaxDrives, all.Footage?.Drives.Count ?? 0);
        for (int round = 0; round < DigestContent.MaxDays; round++)
        {
            Take(ref room, ref banks, Math.Min(DigestContent.MaxBanks, all.Banks.Count), DigestLayout.BankBits, 1);
            Take(ref room, ref alerts, Math.Min(DigestContent.MaxAlerts, all.Alerts.Count), DigestLayout.AlertBits, round == 0 ? 1 : 2);
            Take(ref room, ref drives, mostDrives, DigestLayout.DriveBits, 1);
            Take(ref room, ref days, Math.Min(DigestContent.MaxDays, all.Days.Count), DigestLayout.DayBits, round == 0 ? 0 : 4);
        }

        return all with
        {
            Banks = all.Banks.Take(banks).ToValueList(),
            MoreBanks = all.MoreBanks || banks < all.Banks.Count,
            Alerts = all.Alerts.Take(alerts).ToValueList(),
            Footage = all.Footage is { } footage ? footage with { Drives = footage.Drives.Take(drives).ToValueList() } : null,
            Days = all.Days.Take(days).ToValueList(),
        };
    }

    private static void Take(ref int room, ref int taken, int most, int bits, int times)
    {
        for (int i = 0; i < times && taken < most && bits <= room; i++)
        {
            taken++;
            room -= bits;
        }
    }
}
