using KitMesh.Domain;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Footage.Ledger;
using NodaTime;

namespace KitMesh.Footage.Risk;

/// <summary>
/// The copy, move or recheck that lowers the chance of losing anything most for its time.
/// </summary>
/// <remarks>
/// Greedy: of all moves, take the one with the largest fall of -ln(1 - P) per minute, apply it, look again. The best list
/// of several moves is a knapsack over a function that is nearly submodular (each further copy gains less); tests compare
/// the greedy list with the optimum on small cases. Clips that nothing holds any more are left out: no move helps them,
/// and their certain loss would hide every other gain. Hundreds of moves are judged for one answer, so that groups of more
/// than <see cref="MostCounted"/> drives are judged by the sum of their clips' chances (Boole's bound) instead of by counting,
/// and only the drives with the most room and the cases least likely to be lost are tried as destinations.
/// </remarks>
public sealed class FootageMoves
{
    /// <summary>The most moves listed.</summary>
    public const int MostMoves = 5;

    /// <summary>Days tried for copying at each step: those most at risk.</summary>
    private const int MostDays = 6;

    /// <summary>Drives tried to copy to at each step: those with the most room.</summary>
    private const int MostDrives = 8;

    /// <summary>Cases tried to move into at each step: those least likely to be lost.</summary>
    private const int MostCases = 8;

    /// <summary>Drives of one group up to which a move's gain is counted exactly.</summary>
    private const int MostCounted = 12;

    private const double LeastGain = 0.05;
    private const double LeastChance = 1e-7;

    private readonly Instant _until;
    private readonly LossParameters _parameters;
    private readonly MoveCosts _costs;

    /// <param name="until">The end of the span whose risk is lowered.</param>
    /// <param name="parameters">The figures.</param>
    /// <param name="costs">What moves cost.</param>
    public FootageMoves(Instant until, LossParameters parameters, MoveCosts costs)
    {
        _until = until;
        _parameters = parameters;
        _costs = costs;
    }

    /// <summary>The next moves, best first, each judged with those before it done.</summary>
    /// <param name="holdings">Where everything lies.</param>
    public ValueList<FootageMove> Next(Holdings holdings)
    {
        List<FootageMove> moves = [];
        Holdings now = holdings;
        while (moves.Count < MostMoves && Best(now) is { } best)
        {
            moves.Add(Told(now, best));
            now = best.After;
        }

        return moves.ToValueList();
    }

    /// <summary>Every move that could be made.</summary>
    internal IEnumerable<CandidateMove> Candidates(Holdings now)
    {
        KitId[] cases =
        [
            .. now.Cases
                .Where(item => !IsInsideAnother(now, item.Id))
                .OrderBy(item => item.LossChance)
                .ThenBy(item => item.Id)
                .Take(MostCases)
                .Select(item => item.Id),
        ];
        LocalDate[] days = [.. RiskiestDays(now)];
        HeldDrive[] drives = [.. now.Drives.Where(drive => drive.CanTakeCopies)];
        IEnumerable<HeldDrive> roomiest = drives.OrderByDescending(drive => drive.Free?.Value ?? 0).ThenBy(drive => drive.Drive).Take(MostDrives);
        return roomiest.SelectMany(drive => CopiesTo(now, drive, days, cases)).Concat(drives.SelectMany(drive => MovesOf(now, drive, cases)));
    }

    private IEnumerable<CandidateMove> CopiesTo(Holdings now, HeldDrive drive, LocalDate[] days, KitId[] cases)
    {
        foreach (LocalDate day in days)
        {
            long bytes = CandidateMove.Missing(now, day, drive.Drive).Sum(group => group.Size.Value);
            if (bytes == 0 || (drive.Free is { } free && free.Value < bytes))
            {
                continue;
            }

            yield return CandidateMove.Copy(now, day, drive, null, _costs);
            foreach (KitId into in cases.Where(into => into != drive.Case))
            {
                yield return CandidateMove.Copy(now, day, drive, into, _costs);
            }
        }
    }

    private IEnumerable<CandidateMove> MovesOf(Holdings now, HeldDrive drive, KitId[] cases)
    {
        foreach (KitId into in cases.Where(into => into != drive.Case))
        {
            yield return CandidateMove.Place(now, drive, into, _costs);
        }

        if (now.Groups.Any(group => group.Drives.Contains(drive.Drive) || group.MadeDrives.Contains(drive.Drive)))
        {
            yield return CandidateMove.Recheck(now, drive, _costs);
        }
    }

    /// <summary>-ln(1 - P) of losing anything that something still holds, in the middle of the figures.</summary>
    internal double Hazard(Holdings now)
    {
        var world = new LossWorld(now, _until, _parameters);
        double chance = new LossBoundsFinder(world.Model(LossEnd.Middle), MostCounted, pairsUp: false).AnyLost(world.MergedSets(Held(now), LossEnd.Middle)).Upper;
        return -FailureChance.Log1p(-Math.Min(chance, 1 - 1e-15));
    }

    private static IEnumerable<HeldGroup> Held(Holdings now) =>
        now.Groups.Where(group => group.Drives.Count > 0 || group.MadeDrives.Count > 0 || group.Card is not null);

    private static bool IsInsideAnother(Holdings now, KitId item) =>
        now.Drives.FirstOrDefault(drive => drive.Chain.Contains(item)) is { } inside
        && inside.Chain.SkipWhile(holder => holder != item).Skip(1).Any(holder => now.Cases.Any(other => other.Id == holder));

    private CandidateMove? Best(Holdings now)
    {
        double before = Hazard(now);
        if (before < LeastChance)
        {
            return null;
        }

        CandidateMove? best = null;
        double bestRate = 0;
        foreach (CandidateMove move in Candidates(now))
        {
            double gain = before - Hazard(move.After);
            double rate = gain / move.Takes.TotalMinutes;
            if (gain > LeastGain * before && gain > LeastChance && rate > bestRate)
            {
                (best, bestRate) = (move, rate);
            }
        }

        return best;
    }

    private IEnumerable<LocalDate> RiskiestDays(Holdings now)
    {
        var world = new LossWorld(now, _until, _parameters);
        LossModel model = world.Model(LossEnd.Middle);
        return Held(now)
            .GroupBy(group => group.Day)
            .Select(day => (Day: day.Key, Worst: day.Max(group => model.ClipLost(world.Set(group, LossEnd.Middle)))))
            .OrderByDescending(day => day.Worst)
            .ThenBy(day => day.Day)
            .Take(MostDays)
            .Select(day => day.Day);
    }

    private FootageMove Told(Holdings now, CandidateMove move)
    {
        ChanceRange before = AnyLost(now);
        ChanceRange after = AnyLost(move.After);
        string what = Instruction(now, move);
        return new FootageMove(
            move.Kind,
            $"{what}: {Odds.InWords(before.Best)} becomes {Odds.InWords(after.Best)}, {Math.Ceiling(move.Takes.TotalMinutes):0} min, {Math.Ceiling(move.Energy.Value):0} Wh",
            move.Drive,
            move.Into,
            move.Day,
            before,
            after,
            move.Takes,
            move.Energy,
            move.Size);
    }

    private static string Instruction(Holdings now, CandidateMove move) => move.Kind switch
    {
        FootageMoveKind.Copy when move.Into is { } into => $"copy {DayName(now, move.Day!.Value)} to {move.Drive} and put {move.Drive} into {into}",
        FootageMoveKind.Copy => $"copy {DayName(now, move.Day!.Value)} to {move.Drive}",
        FootageMoveKind.Place => $"put {move.Drive} into {move.Into}",
        FootageMoveKind.Recheck => $"recheck {move.Drive}",
        _ => throw new ArgumentOutOfRangeException(nameof(move), move.Kind, "No words for this move."),
    };

    private static string DayName(Holdings now, LocalDate day) => now.Trip is { } trip
        ? $"day {Period.DaysBetween(trip.FirstDay, day) + 1}"
        : $"{day:uuuu'-'MM'-'dd}";

    private ChanceRange AnyLost(Holdings now)
    {
        var world = new LossWorld(now, _until, _parameters);
        HeldGroup[] held = [.. Held(now)];
        double[] chances = [.. new[] { LossEnd.Kind, LossEnd.Middle, LossEnd.Harsh }
            .Select(end => Math.Clamp(new LossBoundsFinder(world.Model(end), MostCounted, pairsUp: false).AnyLost(world.MergedSets(held, end)).Upper, 0, 1))];
        return new ChanceRange(new Probability(chances[0]), new Probability(chances[1]), new Probability(chances[2]), "clips that something still holds");
    }
}
