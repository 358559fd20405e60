using KitMesh.Domain;
using KitMesh.Domain.Digest;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Domain.State;
using KitMesh.Hub.Views;
using NodaTime;

namespace KitMesh.Hub.Digests;

/// <summary>Gathers what a digest line of one team says, the most pressing first.</summary>
internal static class DigestDesk
{
    /// <summary>The whole content; what does not fit a line is left out by <see cref="DigestLine.Write"/>.</summary>
    public static DigestContent Gather(KitId team, TripState state, TripAnswers answers, LedgerView ledger, IReadOnlyList<Alert> standing, Instant now)
    {
        KitItem[] kit = [.. state.Kit];
        BankOutlook[] banks = [.. (answers.Energy?.Banks ?? []).Where(bank => bank.Team == team).OrderByDescending(bank => bank.ShortByLastDay.Best).ThenBy(bank => bank.Bank)];
        IReadOnlyDictionary<string, KitId> owners = KitOwners.Of(kit, state);
        Alert[] alerts =
        [
            .. standing
                .Where(alert => !owners.TryGetValue(alert.Subject.Value, out KitId owner) || owner == team)
                .OrderByDescending(alert => alert.Weight)
                .ThenBy(alert => alert.Since),
        ];
        LocalDate today = now.WithOffset(kit.OfType<Trip>().FirstOrDefault()?.ZoneOffset ?? Offset.Zero).Date;
        return new DigestContent(
            now,
            NameTag.Of(team),
            banks.Select(Bank).ToValueList(),
            false,
            alerts.Count(alert => alert.Weight == AlertWeight.Danger),
            alerts.Count(alert => alert.Weight == AlertWeight.Act),
            alerts.Count(alert => alert.Weight == AlertWeight.Know),
            alerts.Select(alert => new DigestAlert(NameTag.Of(alert.Rule), NameTag.Of(alert.Subject), alert.Weight, (int)Math.Clamp((now - alert.Since).TotalHours, 0, 10_000))).ToValueList(),
            answers.Footage is { } footage ? Footage(team, footage, ledger, owners, today, now) : null,
            banks.Length == 0 ? [] : banks[0].Days.Select(day => new DigestDay(day.ShortByThen.Best, day.Lowest.P10, day.Lowest.P50)).ToValueList());
    }

    private static DigestBank Bank(BankOutlook bank) => new(
        NameTag.Of(bank.Bank),
        bank.Charge.Best,
        Math.Max(bank.Charge.High.Value - bank.Charge.Best.Value, bank.Charge.Best.Value - bank.Charge.Low.Value),
        bank.ShortByLastDay.Best,
        bank.ShortByLastDay.Low,
        bank.ShortByLastDay.High,
        (int)Math.Clamp(Math.Floor(bank.Autonomy.P50.TotalDays * 4), 0, 62),
        bank.SpendableNow,
        bank.Readiness.State,
        bank.Readiness.Coldest);

    private static DigestFootage Footage(KitId team, FootageOutlook footage, LedgerView ledger, IReadOnlyDictionary<string, KitId> owners, LocalDate today, Instant now)
    {
        CardRow[] cards = [.. ledger.Cards.Where(card => card.Team is null || card.Team == team)];
        return new DigestFootage(
            cards.Count(card => card.State is CardState.OnHold or CardState.NotSeen),
            cards.Count(card => card.State == CardState.OnHold && card.Evening < now),
            cards.Count(card => card.State == CardState.FormattedShort),
            cards.Count(card => card.State == CardState.MayBeFormatted),
            footage.ByLastDay.AnyLost.Best,
            footage.ByLastDay.AnyLost.Low,
            footage.ByLastDay.AnyLost.High,
            footage.RoomLasts,
            footage.Drives
                .Where(drive => !owners.TryGetValue(drive.Drive.Value, out KitId owner) || owner == team)
                .OrderBy(drive => drive.Likely ?? LocalDate.MaxIsoValue)
                .ThenByDescending(drive => drive.FullByLastDay)
                .ThenBy(drive => drive.Drive)
                .Select(drive => new DigestDrive(NameTag.Of(drive.Drive), drive.Likely is { } day ? Math.Clamp(Period.DaysBetween(today, day), 0, 62) : null, drive.FullByLastDay))
                .ToValueList());
    }
}
