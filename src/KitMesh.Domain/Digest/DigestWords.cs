using System.Globalization;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Results;
using NodaTime;

namespace KitMesh.Domain.Digest;

/// <summary>A digest line in sentences, the same on pages and in commands.</summary>
public static class DigestWords
{
    /// <summary>What the line says.</summary>
    /// <param name="content">The line's content.</param>
    /// <param name="names">The names that are known here.</param>
    public static ValueList<string> Of(DigestContent content, DigestNames names)
    {
        ArgumentNullException.ThrowIfNull(content);
        ArgumentNullException.ThrowIfNull(names);
        var words = new List<string>();
        words.AddRange(content.Banks.Select(bank => Bank(bank, names)));
        if (content.MoreBanks)
        {
            words.Add("There are more banks, less likely to run short, that found no room in the line.");
        }

        words.Add(Counts(content));
        words.AddRange(content.Alerts.Select(alert => Alert(alert, names)));
        if (content.Footage is { } footage)
        {
            words.Add(Footage(footage));
            words.AddRange(footage.Drives.Select(drive => Drive(drive, names)));
        }
        else
        {
            words.Add("Nothing is told of the footage.");
        }

        return words.ToValueList();
    }

    /// <summary>How old the news is, in words.</summary>
    /// <param name="madeAt">When the line was made.</param>
    /// <param name="now">World time.</param>
    public static string Age(Instant madeAt, Instant now)
    {
        Duration age = now - madeAt;
        return age < -Duration.FromMinutes(15) ? "made in the future by its own clock: one of the two clocks is wrong"
            : age < Duration.FromHours(1) ? "less than an hour old"
            : age < Duration.FromHours(48) ? string.Create(CultureInfo.InvariantCulture, $"{age.TotalHours:0} hours old")
            : string.Create(CultureInfo.InvariantCulture, $"{age.TotalDays:0.0} days old");
    }

    private static string Bank(DigestBank bank, DigestNames names)
    {
        string charge = bank.Charge is { } known ? Invariant($"{known.Value * 100:0} % full, give or take {bank.ChargeDoubt * 100:0}") : "charge not known";
        string cells = bank.Coldest is { } coldest ? Invariant($", coldest probe {coldest.Value:0} °C") : ", no temperature";
        string spend = bank.Spendable is { } energy ? Invariant($"; {energy.Value:0} Wh may be spent") : "";
        string sunless = bank.AutonomyQuarterDays is { } quarters ? Invariant($"; lasts {(quarters == 62 ? "at least " : "")}{quarters / 4.0:0.##} days without sun") : "";
        return $"{names.Bank(bank.Bank)}: {charge}{cells}, {Readiness(bank.Readiness)}; short by the last day: {Range(bank.ShortBest, bank.ShortLow, bank.ShortHigh)}{spend}{sunless}.";
    }

    private static string Counts(DigestContent content) => content.Danger + content.Act + content.Know == 0
        ? "No alert stands."
        : Invariant($"Alerts: {Most(content.Danger, 15)} danger, {Most(content.Act, 31)} to act on, {Most(content.Know, 31)} to know.");

    private static string Alert(DigestAlert alert, DigestNames names) => Invariant(
        $"{(alert.Weight == AlertWeight.Danger ? "DANGER" : alert.Weight == AlertWeight.Act ? "Act" : "Know")}: {names.Rule(alert.Rule)}, {names.Subject(alert.Subject)}, for {alert.StandsHours} hours or more.");

    private static string Footage(DigestFootage footage)
    {
        string odd = footage.FormattedShort == 0 ? "" : $"; {Most(footage.FormattedShort, 15)} FORMATTED WHILE SHORT OF COPIES";
        return Invariant($"Cards: {Most(footage.OnHold, 63)} on hold ({Most(footage.PastEvening, 15)} past their evening), {Most(footage.MayBeFormatted, 63)} may be formatted there{odd}. ")
            + $"Any clip lost by the last day: {Range(footage.LossBest, footage.LossLow, footage.LossHigh)}; room for every copy: {Percent(footage.RoomLasts)}.";
    }

    private static string Drive(DigestDrive drive, DigestNames names)
    {
        string fills = drive.FillsInDays switch
        {
            null => "lasts to the last day",
            62 => "is full in 62 days or more",
            int days => Invariant($"is full in {days} days"),
        };
        return $"{names.Drive(drive.Drive)} {fills} (chance of filling up: {Percent(drive.FullByLastDay)}).";
    }

    private static string Readiness(ChargeReadinessState state) => state switch
    {
        ChargeReadinessState.NoTemperature => "do not charge before it is measured",
        ChargeReadinessState.WarmFirst => "warm before charging",
        ChargeReadinessState.SlowOnly => "may charge slowly",
        ChargeReadinessState.Ready => "may charge",
        ChargeReadinessState.TooHot => "too hot to charge",
        _ => throw new ArgumentOutOfRangeException(nameof(state), state, "There is no such readiness."),
    };

    private static string Range(Probability? best, Probability? low, Probability? high) =>
        best is null ? "not known" : $"{Percent(best)} ({Percent(low)} to {Percent(high)})";

    private static string Percent(Probability? chance) => chance is { } known ? Invariant($"{known.Value * 100:0.##} %") : "not known";

    private static string Most(int count, int most) => count >= most ? Invariant($"{most} or more") : Invariant($"{count}");

    private static string Invariant(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
