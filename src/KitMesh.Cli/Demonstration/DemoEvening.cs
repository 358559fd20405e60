using KitMesh.Cli.Asking;
using KitMesh.Cli.Frame;
using KitMesh.Demo.Footage;
using KitMesh.Protocol.V1;

namespace KitMesh.Cli.Demonstration;

/// <summary>The evening at the station: cards go into slots, are copied and read back, and come out again.</summary>
internal sealed class DemoEvening(DemoStage stage, Talk talk)
{
    /// <summary>World seconds in a machine second while cards are copied: copying takes machine time.</summary>
    public const double CopySpeed = 600;

    private static readonly TimeSpan Look = TimeSpan.FromMilliseconds(100);
    private static readonly TimeSpan LongestCopy = TimeSpan.FromSeconds(30);
    private static readonly TimeSpan QuietAfter = TimeSpan.FromSeconds(3);

    /// <summary>Copies the cards that are at base on a day, from 0.</summary>
    public async Task CopyAsync(int day)
    {
        stage.Clock.SetSpeed(CopySpeed);
        CardTruth[] cards = [.. stage.World.Sources.Where(source => IsAtBase(source, day)).Select(source => source.InCamera).Where(card => card.Clips > 0)];
        using HubClient hub = stage.Ask();
        Dictionary<string, ulong> lastVisits = await VisitsAsync(hub, cards);
        foreach (CardTruth card in cards)
        {
            card.MoveTo(Path.Combine(stage.Layout.Slots, DemoLayout.FolderName(card.Declared.Id.Value)));
        }

        HashSet<string> released = await WaitAsync(hub, cards, lastVisits);
        foreach (CardTruth card in cards)
        {
            card.MoveTo(Path.Combine(stage.Layout.Pocket, DemoLayout.FolderName(card.Declared.Id.Value)));
            if (released.Contains(card.Declared.Id.Value))
            {
                card.Format();
            }
        }

        foreach (SourceTruth source in stage.World.Sources)
        {
            source.PickCard();
        }
    }

    /// <summary>The far teams' cards come down with a runner every third day.</summary>
    private static bool IsAtBase(SourceTruth source, int day) => source.Declared.Team.Value switch
    {
        "ridge team" => day % 3 == 2,
        "hide team" => day % 3 == 1,
        _ => true,
    };

    /// <summary>Waits until the hub has proof of every card, or nothing more comes.</summary>
    private async Task<HashSet<string>> WaitAsync(HubClient hub, CardTruth[] cards, Dictionary<string, ulong> lastVisits)
    {
        TimeProvider machine = stage.Machine;
        long began = machine.GetTimestamp();
        long changed = began;
        string before = "";
        bool allSeen = false;
        while (true)
        {
            await stage.NapAsync(Look);

            // What the ledger says of an earlier visit must not be taken for this one.
            allSeen = allSeen || await IsSeenAnewAsync(hub, cards, lastVisits);
            GetLedgerResponse ledger = await hub.LedgerAsync(new GetLedgerRequest());
            Dictionary<string, CardAnswer> answers = ledger.Cards.ToDictionary(card => card.Card, StringComparer.Ordinal);
            CardTruth[] open = [.. cards.Where(card => !allSeen || !IsReleased(card, answers))];
            if (open.Length == 0)
            {
                return [.. cards.Select(card => card.Declared.Id.Value)];
            }

            string now = await ProgressAsync(hub);
            changed = now == before ? changed : machine.GetTimestamp();
            before = now;
            bool heardOfAll = allSeen && open.All(card => answers.TryGetValue(card.Declared.Id.Value, out CardAnswer? answer) && answer.Clips == card.Clips);
            if ((heardOfAll && machine.GetElapsedTime(changed) > QuietAfter) || machine.GetElapsedTime(began) > LongestCopy)
            {
                foreach (CardTruth card in open)
                {
                    talk.Say($"  {card.Declared.Id} stays on hold: {answers.GetValueOrDefault(card.Declared.Id.Value)?.Reason ?? "not heard of"}");
                }

                return [.. cards.Except(open).Select(card => card.Declared.Id.Value)];
            }
        }
    }

    private static bool IsReleased(CardTruth card, Dictionary<string, CardAnswer> answers) =>
        answers.TryGetValue(card.Declared.Id.Value, out CardAnswer? answer)
        && answer.Clips == card.Clips
        && answer.Verdict == CardVerdict.MayBeFormatted;

    private static async Task<bool> IsSeenAnewAsync(HubClient hub, CardTruth[] cards, Dictionary<string, ulong> lastVisits)
    {
        Dictionary<string, ulong> now = await VisitsAsync(hub, cards);
        return now.All(visit => visit.Value > lastVisits[visit.Key]);
    }

    /// <summary>The sequence of each card's newest visit at the station; 0 for none.</summary>
    private static async Task<Dictionary<string, ulong>> VisitsAsync(HubClient hub, CardTruth[] cards)
    {
        Dictionary<string, ulong> visits = new(StringComparer.Ordinal);
        foreach (CardTruth card in cards)
        {
            var question = new GetReportsRequest { PageSize = 1, Subject = card.Declared.Id.Value };
            question.Kinds.Add("CardSeen");
            GetReportsResponse page = await hub.ReportsAsync(question);
            visits[card.Declared.Id.Value] = page.Reports.Count == 0 ? 0 : page.Reports[0].Sequence;
        }

        return visits;
    }

    /// <summary>How many copies were made, proven or failed so far, as text to compare.</summary>
    private static async Task<string> ProgressAsync(HubClient hub)
    {
        GetStatusResponse status = await hub.StatusAsync();
        return string.Join(' ', status.Kinds.Where(kind => kind.Kind.StartsWith("Copy", StringComparison.Ordinal)).Select(kind => kind.Count));
    }
}
