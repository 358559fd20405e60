using KitMesh.Domain.Quantities;
using KitMesh.Domain.Results;
using NodaTime;

namespace KitMesh.Outlook.Advice;

/// <summary>Advice from the ledger and the footage outlook: cards on hold, moves that pay, drives that fill.</summary>
internal static class FootageAdvice
{
    public static IEnumerable<RankedAdvice> From(AdviceQuestion question)
    {
        IEnumerable<RankedAdvice> advice = [];
        if (question.Ledger is { } ledger)
        {
            advice = advice.Concat(Cards(ledger)).Concat(Drives(ledger));
        }

        if (question.Footage is { } footage)
        {
            advice = advice.Concat(Moves(footage)).Concat(Room(footage)).Concat(Clearing(footage));
        }

        return advice;
    }

    private static IEnumerable<RankedAdvice> Cards(LedgerView ledger)
    {
        foreach (CardRow card in ledger.Cards)
        {
            switch (card.State)
            {
                case CardState.OnHold:
                    yield return new RankedAdvice(new Domain.Results.Advice(
                        $"footage/card/{card.Card}",
                        AdviceCategory.Footage,
                        $"do not format {card.Card}: offload it, or recheck its copies, until its clips are proven",
                        card.Reason,
                        card.Evening,
                        "the card can be used again",
                        card.LeastCopies == 0 ? 0.8 : 0.6,
                        card.Card));
                    break;
                case CardState.FormattedShort:
                    yield return new RankedAdvice(new Domain.Results.Advice(
                        $"footage/formatted/{card.Card}",
                        AdviceCategory.Footage,
                        $"copy what is left of {card.Card} to one more drive, and do not record on the card: some of it may be recovered",
                        card.Reason,
                        ledger.AsOf,
                        null,
                        0.95,
                        card.Card));
                    break;
                default:
                    break;
            }
        }
    }

    private static IEnumerable<RankedAdvice> Drives(LedgerView ledger)
    {
        foreach (DriveRow drive in ledger.Drives)
        {
            if (drive.Doubt is { } doubt)
            {
                yield return new RankedAdvice(new Domain.Results.Advice(
                    $"footage/doubt/{drive.Drive}", AdviceCategory.Footage, $"find out which drive {drive.Drive} is", doubt, null, null, 0.5, drive.Drive));
            }

            if (drive.Lost > 0 && drive.Doubt is null)
            {
                yield return new RankedAdvice(new Domain.Results.Advice(
                    $"footage/recheck/{drive.Drive}",
                    AdviceCategory.Footage,
                    $"copy again what {drive.Drive} lost, then recheck it",
                    $"{Copies(drive.Lost)} on it failed their last reading",
                    null,
                    null,
                    0.75,
                    drive.Drive));
            }
        }

        // Rechecks are one evening's work: one line, the drive with most to read first, not a line a drive.
        DriveRow[] overdue = [.. ledger.Drives
            .Where(drive => drive is { Lost: 0, Overdue: > 0, Doubt: null })
            .OrderByDescending(drive => drive.Overdue)
            .ThenBy(drive => drive.Drive)];
        if (overdue.Length > 0)
        {
            yield return new RankedAdvice(new Domain.Results.Advice(
                overdue.Length == 1 ? $"footage/recheck/{overdue[0].Drive}" : "footage/recheck",
                AdviceCategory.Footage,
                $"recheck {Listed([.. overdue.Select(drive => drive.Drive.Value)])}",
                $"{Copies(overdue.Sum(drive => drive.Overdue))} on {(overdue.Length == 1 ? "it" : "them")} were not proven for longer than the rule allows; they are overdue, not lost",
                null,
                null,
                0.35,
                overdue.Length == 1 ? overdue[0].Drive : null));
        }
    }

    private static string Copies(int count) => count == 1 ? "1 copy" : $"{count} copies";

    private static string Listed(string[] names) => names.Length == 1 ? names[0] : $"{string.Join(", ", names[..^1])} and {names[^1]}";

    private static IEnumerable<RankedAdvice> Moves(FootageOutlook footage)
    {
        // One move at a time: the next one is judged again when this one is done.
        FootageMove? move = footage.Moves.FirstOrDefault();
        if (move is null
            || move.Before.Best.Value < AdviceLimits.Loss
            || move.After.Best.Value > AdviceLimits.MoveGain * move.Before.Best.Value)
        {
            yield break;
        }

        yield return new RankedAdvice(new Domain.Results.Advice(
            "footage/move",
            AdviceCategory.Footage,
            move.What,
            $"the chance of losing any clip by {footage.LastDay:uuuu'-'MM'-'dd} is {Odds.InWords(move.Before)}",
            null,
            $"{Odds.InWords(move.Before.Best)} becomes {Odds.InWords(move.After.Best)}",
            Math.Min(0.7, 0.4 + move.Before.Best.Value),
            move.Drive));
    }

    /// <summary>Room for tomorrow on drives that are cleared again and again.</summary>
    private static IEnumerable<RankedAdvice> Clearing(FootageOutlook footage) => footage.Clearing
        .Where(plan => plan.Clear.Count > 0 || !plan.Enough)
        .Select(plan => new RankedAdvice(new Domain.Results.Advice(
            $"footage/clear/{plan.Drive}",
            AdviceCategory.Footage,
            plan.Clear.Count > 0
                ? $"clear {string.Join(", ", plan.Clear.Select(step => $"{step.Day:uuuu'-'MM'-'dd}{(step.Team is { } team ? $" of {team}" : "")}"))} from {plan.Drive}, in this order, and nothing else"
                : $"finish the copies of what is on {plan.Drive}: nothing on it may be cleared yet",
            plan.Words,
            null,
            plan.Enough ? $"{plan.FreeAfter} are free for tomorrow" : null,
            plan.Enough ? 0.3 : 0.55,
            plan.Drive)));

    private static IEnumerable<RankedAdvice> Room(FootageOutlook footage)
    {
        double chance = 1 - footage.RoomLasts.Value;
        if (chance < AdviceLimits.RoomShort || footage.GiveWays.Count == 0)
        {
            yield break;
        }

        CopyShortfall? first = footage.Shortfalls.FirstOrDefault();
        string when = first?.Likely is { } likely ? $"around {likely:uuuu'-'MM'-'dd}" : "before the last day";
        yield return new RankedAdvice(new Domain.Results.Advice(
            "footage/room",
            AdviceCategory.Footage,
            footage.GiveWays[0].What,
            $"the drives run out of room for {footage.Copies} copies {when} ({Odds.InWords(new Probability(chance))} by the last day)",
            null,
            $"{footage.GiveWays[0].GigabytesSaved:0} GB of footage fit more",
            Math.Min(0.7, 0.3 + (0.4 * chance)),
            null));
    }
}
