using KitMesh.Alerts.Inputs;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;

namespace KitMesh.Alerts.Rules.Media;

/// <summary>A copy failed, or a copy that was there is no longer good, and nothing has made it good since.</summary>
public sealed class CopyNotGood : IAlertRule
{
    private const int MostNamed = 5;

    /// <inheritdoc/>
    public string Name => "copy-failed";

    /// <inheritdoc/>
    public AlertWeight Weight => AlertWeight.Act;

    /// <inheritdoc/>
    public string Summary => "A copy failed or is no longer good, and nothing has made it good since.";

    /// <inheritdoc/>
    public bool ClearsUnmentioned => true;

    /// <inheritdoc/>
    public IEnumerable<Finding> Judge(AlertInputs inputs, Func<KitId, bool> stands)
    {
        ArgumentNullException.ThrowIfNull(inputs);
        return inputs.FailedCopies
            .Where(f => (f.Report.Drive ?? f.Report.Card) is not null)
            .GroupBy(f => (f.Report.Drive ?? f.Report.Card)!.Value)
            .Select(About);
    }

    private static Finding About(IGrouping<KitId, FailedCopy> failures)
    {
        List<FailedCopy> all = [.. failures.OrderBy(f => f.GoodCopies).ThenBy(f => f.At).ThenBy(f => f.Report.Path, StringComparer.Ordinal)];
        string named = string.Join("; ", all.Take(MostNamed).Select(f => $"{f.Report.Path}: {Words(f.Report.Failure)} ({f.Report.Detail}), good copies elsewhere: {f.GoodCopies}"));
        int bare = all.Count(f => f.GoodCopies == 0);
        return new Finding(
            failures.Key,
            Fires: true,
            $"{all.Count} {(all.Count == 1 ? "copy" : "copies")} not good. {named}{(all.Count > MostNamed ? $"; and {all.Count - MostNamed} more" : "")}.{(bare > 0 ? $" {bare} of these clips have no good copy anywhere: the card is all there is." : "")}",
            "Do not format the card. Copy again, onto another drive if this one fails twice; keep the failing drive as it is, do not repair it.")
        {
            Since = all.Min(f => f.At),
        };
    }

    private static string Words(CopyFailure failure) => failure switch
    {
        CopyFailure.CardUnreadable => "the card could not be read",
        CopyFailure.WriteFailed => "the drive refused a write",
        CopyFailure.DriveFull => "the drive is full",
        CopyFailure.ReadBackFailed => "the copy could not be read back",
        CopyFailure.HashDiffers => "the copy differs from the card",
        CopyFailure.Missing => "the copy is gone",
        CopyFailure.ClipChanged => "the file changed on the card while it was read",
        CopyFailure.DriveGone => "the drive went away",
        _ => "it failed",
    };
}
