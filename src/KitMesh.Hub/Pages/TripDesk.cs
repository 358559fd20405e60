using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Domain.State;
using KitMesh.Hub.Digests;
using KitMesh.Hub.Views;
using NodaTime;

namespace KitMesh.Hub.Pages;

/// <summary>Gathers what the page "Trip" shows: the teams side by side, each with the age of its own news.</summary>
/// <remarks>
/// Trap: a figure computed a second ago from news of last week looks fresh. So each team carries the age of the newest report
/// that one of its own agents wrote, and what came by digest line is set apart as second-hand.
/// </remarks>
internal static class TripDesk
{
    private const int NewestNotes = 10;

    /// <summary>A bank that runs short with at least this chance is marked. Own choice.</summary>
    private const double WorthAWarning = 0.2;

    /// <summary>One column a team.</summary>
    public static IReadOnlyList<TeamColumn> Teams(TripState state, TripAnswers answers, LedgerView ledger, IReadOnlyList<Alert> alerts, Instant now)
    {
        IReadOnlyList<HeardNews> heard = HeardBoard.Of(state, now);
        return [.. state.KitOf<Team>().Select(team => Column(team, state, answers, ledger, alerts, heard, now))];
    }

    /// <summary>The newest notes, newest first.</summary>
    public static IReadOnlyList<string> Notes(TripState state, Instant now) =>
        [.. state.Notes.Reverse().Take(NewestNotes).Select(note => $"{PageText.Age(now - note.Key.Time)}, {note.Value.Author}{(note.Value.Subject is { } subject ? $" on {subject}" : "")}: {note.Value.Text}")];

    private static TeamColumn Column(Team team, TripState state, TripAnswers answers, LedgerView ledger, IReadOnlyList<Alert> alerts, IReadOnlyList<HeardNews> heard, Instant now)
    {
        WatchedAgent[] agents = [.. state.KitOf<WatchedAgent>().Where(agent => agent.Team == team.Id)];
        Duration? age = TeamNews.Of(state, team.Id, now).Age;
        bool isOld = agents.Any(agent => !state.Nodes.TryGetValue(agent.Node, out NodeSeen? node) || now - node.LastHeard > agent.SilentAfter);
        DayRow[] days = [.. ledger.Days.Where(day => day.Team == team.Id)];
        IReadOnlyDictionary<string, KitId> owners = KitOwners.Of([.. state.Kit], state);
        return new TeamColumn(
            team.Id,
            (state.HolderOf(team.Id) ?? team.Home).Value,
            age is { } old ? PageText.Age(old) : agents.Length == 0 ? "no agent travels with it" : "never heard",
            isOld,
            [.. (answers.Energy?.Banks ?? []).Where(bank => bank.Team == team.Id).Select(Bank)],
            Cards([.. ledger.Cards.Where(card => card.Team == team.Id)]),
            days.Length == 0 ? "no footage known" : $"{(days.All(day => day.ClipsMet == day.Clips) ? "✓" : "✗")} {days.Count(day => day.ClipsMet == day.Clips)} of {PageText.Count(days.Length, "day")} in enough cases",
            [.. alerts.Where(alert => owners.TryGetValue(alert.Subject.Value, out KitId owner) && owner == team.Id).Select(alert => $"{PageText.WeightShape(alert.Weight)} {PageText.WeightWord(alert.Weight)}: {alert.Subject}")],
            heard.Where(news => news.Team == team.Id.Value).Select(news => $"{news.Age}: {string.Join(" ", news.Words)}").FirstOrDefault() ?? "");
    }

    private static string Bank(BankOutlook bank) =>
        $"{(bank.ShortByLastDay.Best.Value >= WorthAWarning ? "■ " : "")}{bank.Bank}: about {PageText.Percent(bank.Charge.Best.Value)} full ({PageText.Percent(bank.Charge.Low.Value)} to {PageText.Percent(bank.Charge.High.Value)}); runs short with {Odds.InWords(bank.ShortByLastDay)}";

    private static string Cards(CardRow[] cards)
    {
        int held = cards.Count(card => card.State is CardState.OnHold or CardState.NotSeen);
        int shortOf = cards.Count(card => card.State == CardState.FormattedShort);
        return cards.Length == 0 ? "no card known"
            : $"{(shortOf > 0 ? $"▲ {shortOf} formatted and short of copies, " : "")}{(held > 0 ? $"✗ {held} on hold or never read, " : "")}✓ {cards.Count(card => card.State == CardState.MayBeFormatted)} may be formatted";
    }
}
