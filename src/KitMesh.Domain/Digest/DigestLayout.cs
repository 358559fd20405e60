using KitMesh.Domain.Quantities;
using KitMesh.Domain.Results;
using NodaTime;

namespace KitMesh.Domain.Digest;

// The grammar of version 1, once for writing and once for reading, in the order of docs/digest-line.md. A new version gets a layout of its own
// beside this one; this one stays.

/// <summary>Version 1 of the line's bits.</summary>
internal static class DigestLayout
{
    internal const int Version = 1;
    internal const int FixedBits = 5 + 24 + NameTag.Bits + 3 + 1 + 4 + 5 + 5 + 4 + 1 + 5;
    internal const int BankBits = NameTag.Bits + 7 + 4 + (3 * LineLadders.Bits) + 6 + 10 + 3 + 7;
    internal const int AlertBits = NameTag.Bits + NameTag.Bits + 2 + LineLadders.Bits;
    internal const int FootageBits = 6 + 4 + 4 + 6 + (4 * LineLadders.Bits) + 3;
    internal const int DriveBits = NameTag.Bits + 6 + LineLadders.Bits;
    internal const int DayBits = 3 * LineLadders.Bits;

    private const int MinutesPerUnit = 5;
    private const int LongestAutonomy = 62;
    private const int MostTens = 1022;
    private const int LongestFill = 62;
    private static readonly Instant Epoch = Instant.FromUtc(2020, 1, 1, 0, 0);

    internal static IReadOnlyList<byte> Write(DigestContent content)
    {
        var bits = new LineBits();
        bits.Put(Version, 5);
        bits.Put((int)Math.Clamp(Math.Floor((content.MadeAt - Epoch).TotalMinutes / MinutesPerUnit), 0, (1 << 24) - 1), 24);
        bits.Put(content.Team.Value, NameTag.Bits);
        bits.Put(content.Banks.Count, 3);
        bits.Put(content.MoreBanks ? 1 : 0, 1);
        foreach (DigestBank bank in content.Banks)
        {
            Write(bits, bank);
        }

        bits.Put(Math.Clamp(content.Danger, 0, 15), 4);
        bits.Put(Math.Clamp(content.Act, 0, 31), 5);
        bits.Put(Math.Clamp(content.Know, 0, 31), 5);
        bits.Put(content.Alerts.Count, 4);
        foreach (DigestAlert alert in content.Alerts)
        {
            bits.Put(alert.Rule.Value, NameTag.Bits);
            bits.Put(alert.Subject.Value, NameTag.Bits);
            bits.Put((int)alert.Weight, 2);
            bits.Put(LineLadders.OfHours(alert.StandsHours), LineLadders.Bits);
        }

        Write(bits, content.Footage);
        bits.Put(content.Days.Count, 5);
        foreach (DigestDay day in content.Days)
        {
            bits.Put(LineLadders.Nearest(day.ShortByThen), LineLadders.Bits);
            bits.Put(Thirtieths(day.LowestP10), 5);
            bits.Put(Thirtieths(day.LowestP50), 5);
        }

        return bits.Symbols;
    }

    /// <summary>The content; null when it is not this layout to the last bit.</summary>
    internal static DigestContent? Read(byte[] symbols)
    {
        var bits = new LineBitReader(symbols);
        if (bits.Take(5) != Version)
        {
            return null;
        }

        Instant madeAt = Epoch + Duration.FromMinutes((long)bits.Take(24) * MinutesPerUnit);
        var team = new NameTag(bits.Take(NameTag.Bits));
        int bankCount = bits.Take(3);
        bool moreBanks = bits.Take(1) == 1;
        ValueList<DigestBank?> banks = Many(bankCount, () => ReadBank(bits));
        int danger = bits.Take(4);
        int act = bits.Take(5);
        int know = bits.Take(5);
        ValueList<DigestAlert?> alerts = Many(bits.Take(4), () => ReadAlert(bits));
        bool hasFootage = bits.Take(1) == 1;
        DigestFootage? footage = hasFootage ? ReadFootage(bits) : null;
        ValueList<DigestDay> days = Many(bits.Take(5), () => new DigestDay(LineLadders.Chance(bits.Take(5)), Charge(bits.Take(5)), Charge(bits.Take(5))));
        return !bits.AtEnd || banks.Contains(null) || alerts.Contains(null) || (hasFootage && footage is null)
            ? null
            : new DigestContent(madeAt, team, banks.OfType<DigestBank>().ToValueList(), moreBanks, danger, act, know, alerts.OfType<DigestAlert>().ToValueList(), footage, days);
    }

    private static void Write(LineBits bits, DigestBank bank)
    {
        bits.Put(bank.Bank.Value, NameTag.Bits);
        bits.Put(bank.Charge is { } charge && double.IsFinite(charge.Value) ? (int)Math.Round(Math.Clamp(charge.Value, 0, 1) * 100) : 127, 7);
        bits.Put(double.IsFinite(bank.ChargeDoubt) ? (int)Math.Ceiling(Math.Clamp(bank.ChargeDoubt / 0.03, 0, 15) - 1e-9) : 15, 4);
        bits.Put(LineLadders.Nearest(bank.ShortBest), LineLadders.Bits);
        bits.Put(LineLadders.Down(bank.ShortLow), LineLadders.Bits);
        bits.Put(LineLadders.Up(bank.ShortHigh), LineLadders.Bits);
        bits.Put(bank.AutonomyQuarterDays is { } quarters ? Math.Clamp(quarters, 0, LongestAutonomy) : 63, 6);
        bits.Put(bank.Spendable is { } energy && double.IsFinite(energy.Value) ? (int)Math.Clamp(Math.Floor((energy.Value / 10) + 1e-9), 0, MostTens) : 1023, 10);
        bits.Put((int)bank.Readiness, 3);
        bits.Put(bank.Coldest is { } coldest && double.IsFinite(coldest.Value) ? (int)Math.Clamp(Math.Floor(coldest.Value + 1e-9), -63, 63) + 64 : 0, 7);
    }

    private static DigestBank? ReadBank(LineBitReader bits)
    {
        var tag = new NameTag(bits.Take(NameTag.Bits));
        int charge = bits.Take(7);
        double doubt = bits.Take(4) * 0.03;
        Probability? best = LineLadders.Chance(bits.Take(5));
        Probability? low = LineLadders.Chance(bits.Take(5));
        Probability? high = LineLadders.Chance(bits.Take(5));
        int autonomy = bits.Take(6);
        int tens = bits.Take(10);
        int readiness = bits.Take(3);
        int coldest = bits.Take(7);
        return charge is > 100 and not 127 || !Enum.IsDefined((ChargeReadinessState)readiness)
            ? null
            : new DigestBank(
                tag,
                charge == 127 ? null : new StateOfCharge(charge / 100.0),
                doubt,
                best,
                low,
                high,
                autonomy == 63 ? null : autonomy,
                tens == 1023 ? null : new WattHours(tens * 10),
                (ChargeReadinessState)readiness,
                coldest == 0 ? null : new Celsius(coldest - 64));
    }

    private static DigestAlert? ReadAlert(LineBitReader bits)
    {
        var rule = new NameTag(bits.Take(NameTag.Bits));
        var subject = new NameTag(bits.Take(NameTag.Bits));
        int weight = bits.Take(2);
        int hours = LineLadders.Hours[bits.Take(LineLadders.Bits)];
        return Enum.IsDefined((AlertWeight)weight) ? new DigestAlert(rule, subject, (AlertWeight)weight, hours) : null;
    }

    private static void Write(LineBits bits, DigestFootage? footage)
    {
        bits.Put(footage is null ? 0 : 1, 1);
        if (footage is null)
        {
            return;
        }

        bits.Put(Math.Clamp(footage.OnHold, 0, 63), 6);
        bits.Put(Math.Clamp(footage.PastEvening, 0, 15), 4);
        bits.Put(Math.Clamp(footage.FormattedShort, 0, 15), 4);
        bits.Put(Math.Clamp(footage.MayBeFormatted, 0, 63), 6);
        bits.Put(LineLadders.Nearest(footage.LossBest), LineLadders.Bits);
        bits.Put(LineLadders.Down(footage.LossLow), LineLadders.Bits);
        bits.Put(LineLadders.Up(footage.LossHigh), LineLadders.Bits);
        bits.Put(LineLadders.Nearest(footage.RoomLasts), LineLadders.Bits);
        bits.Put(footage.Drives.Count, 3);
        foreach (DigestDrive drive in footage.Drives)
        {
            bits.Put(drive.Drive.Value, NameTag.Bits);
            bits.Put(drive.FillsInDays is { } days ? Math.Clamp(days, 0, LongestFill) : 63, 6);
            bits.Put(LineLadders.Nearest(drive.FullByLastDay), LineLadders.Bits);
        }
    }

    private static DigestFootage ReadFootage(LineBitReader bits)
    {
        int onHold = bits.Take(6);
        int pastEvening = bits.Take(4);
        int formattedShort = bits.Take(4);
        int mayBeFormatted = bits.Take(6);
        Probability? best = LineLadders.Chance(bits.Take(5));
        Probability? low = LineLadders.Chance(bits.Take(5));
        Probability? high = LineLadders.Chance(bits.Take(5));
        Probability? room = LineLadders.Chance(bits.Take(5));
        ValueList<DigestDrive> drives = Many(bits.Take(3), () => ReadDrive(bits));
        return new DigestFootage(onHold, pastEvening, formattedShort, mayBeFormatted, best, low, high, room, drives);
    }

    private static DigestDrive ReadDrive(LineBitReader bits)
    {
        var tag = new NameTag(bits.Take(NameTag.Bits));
        int days = bits.Take(6);
        return new DigestDrive(tag, days == 63 ? null : days, LineLadders.Chance(bits.Take(5)));
    }

    private static ValueList<T> Many<T>(int count, Func<T> read)
    {
        var items = new List<T>(count);
        for (int i = 0; i < count; i++)
        {
            items.Add(read());
        }

        return items.ToValueList();
    }

    private static int Thirtieths(StateOfCharge? charge) => charge is { } known && double.IsFinite(known.Value) ? (int)Math.Round(Math.Clamp(known.Value, 0, 1) * 30) : 31;

    private static StateOfCharge? Charge(int thirtieths) => thirtieths == 31 ? null : new StateOfCharge(thirtieths / 30.0);
}
