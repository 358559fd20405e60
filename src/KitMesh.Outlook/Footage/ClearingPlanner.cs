using KitMesh.Domain.Quantities;
using KitMesh.Domain.Results;

namespace KitMesh.Outlook.Footage;

/// <summary>What to clear from an intermediate drive tonight, so that tomorrow fits.</summary>
internal static class ClearingPlanner
{
    /// <summary>Room is made for what is not exceeded on nine days of ten.</summary>
    private const double Enough = 0.9;

    public static ClearingPlan Plan(ClearingRow row, IReadOnlyList<LearntRate> rates)
    {
        // A whole day is to come: nothing of it was shot yet. The drive serves the team that has it, else everybody.
        LearntRate[] served = [.. rates
            .Where(rate => row.Team is null || rate.Rate.Team is null || rate.Rate.Team == row.Team)
            .Select(rate => rate with { Today = rate.Rate.GigabytesPerDay })];
        ByteCount wanted = ByteCount.FromGigabytes(new VolumeToCome(served).Quantile(Enough, 1));
        ByteCount free = row.Free ?? ByteCount.Zero;
        List<ClearingStep> clear = [];
        long after = free.Value;
        foreach (ClearingStep step in row.Steps.Where(step => step.MayBeCleared).TakeWhile(_ => after < wanted.Value))
        {
            clear.Add(step);
            after += step.Size.Value;
        }

        bool enough = after >= wanted.Value;
        return new ClearingPlan(row.Drive, wanted, free, [.. clear], new ByteCount(after), enough, Words(row, wanted, clear, new ByteCount(after), enough));
    }

    private static string Words(ClearingRow row, ByteCount wanted, List<ClearingStep> clear, ByteCount after, bool enough)
    {
        string room = row.Free is { } free ? $"{free} are free" : "its free room is not known";
        string tomorrow = $"tomorrow may bring {wanted}";
        if (clear.Count == 0 && enough)
        {
            return $"{row.Drive}: nothing need be cleared; {room}, {tomorrow}";
        }

        string days = string.Join(", ", clear.Select(step => $"{step.Day:uuuu'-'MM'-'dd}{(step.Team is { } team ? $" of {team}" : "")} ({step.Size})"));
        string what = clear.Count == 0 ? $"{row.Drive}: nothing on it may be cleared yet" : $"{row.Drive}: clear {days}, in this order";
        string end = enough ? $"{after} are free then" : $"that leaves {after}, too little: finish the copies of {Waiting(row)} first";
        return $"{what}; {room}, {tomorrow}; {end}";
    }

    private static string Waiting(ClearingRow row) => row.Steps.FirstOrDefault(step => !step.MayBeCleared) is { } first
        ? $"{first.Day:uuuu'-'MM'-'dd}"
        : "what is on it";
}
