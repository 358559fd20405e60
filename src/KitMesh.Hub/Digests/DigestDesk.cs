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
        Dictionary<string, KitId> owners = Owners(kit, state);
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

    private static DigestFootage Footage(KitId team, FootageOutlook footage, LedgerView ledger, Dictionary<string, KitId> owners, LocalDate today, Instant now)
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

    /// <summary>Which team a name belongs to, where that is declared; a name of two teams belongs to none.</summary>
    private static Dictionary<string, KitId> Owners(KitItem[] kit, TripState state)
    {
        var owners = new Dictionary<string, KitId?>(StringComparer.Ordinal);
        void Own(KitId item, KitId? team)
        {
            owners[item.Value] = owners.TryGetValue(item.Value, out KitId? known) && known != team ? null : team;
        }

        Dictionary<KitId, KitId> people = kit.OfType<Person>().GroupBy(person => person.Id).ToDictionary(group => group.Key, group => group.First().Team);
        HashSet<KitId> teams = [.. kit.OfType<Team>().Select(item => item.Id)];
        Dictionary<KitId, KitId> banks = kit.OfType<Bank>().GroupBy(bank => bank.Id).ToDictionary(group => group.Key, group => group.First().Team);
        Dictionary<KitId, KitId> sources = kit.OfType<FootageSource>().GroupBy(source => source.Id).ToDictionary(group => group.Key, group => group.First().Team);
        KitId? OfCarrier(KitId? carrier) => carrier is not { } id ? null : teams.Contains(id) ? id : people.TryGetValue(id, out KitId team) ? team : null;
        Dictionary<KitId, KitId?> cases = kit.OfType<Case>().GroupBy(item => item.Id).ToDictionary(group => group.Key, group => OfCarrier(state.HolderOf(group.Key) ?? group.First().Carrier));
        foreach (KitItem item in kit)
        {
            KitId? team = item switch
            {
                Team own => own.Id,
                Person person => person.Team,
                Bank bank => bank.Team,
                Load load => load.Team,
                FootageSource source => source.Team,
                WatchedAgent agent => agent.Team,
                Pack { Bank: { } bank } when banks.TryGetValue(bank, out KitId of) => of,
                Panel panel when banks.TryGetValue(panel.Bank, out KitId of) => of,
                Card { Source: { } source } when sources.TryGetValue(source, out KitId of) => of,
                Drive drive when (state.HolderOf(drive.Id) ?? drive.Case) is { } held => cases.TryGetValue(held, out KitId? of) ? of : OfCarrier(held),
                Case own => cases.GetValueOrDefault(own.Id),
                _ => null,
            };
            if (team is not null)
            {
                Own(item.Id, team);
            }
        }

        return owners.Where(owner => owner.Value is not null).ToDictionary(owner => owner.Key, owner => owner.Value!.Value, StringComparer.Ordinal);
    }
}
