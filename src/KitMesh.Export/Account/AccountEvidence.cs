using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Planning;
using KitMesh.Domain.Reports;
using KitMesh.Domain.State;
using KitMesh.Outlook.Learning;

namespace KitMesh.Export.Account;

/// <summary>What the reports of one trip teach of its kit.</summary>
public static class AccountEvidence
{
    /// <summary>The evidence.</summary>
    /// <param name="feed">Every report.</param>
    /// <param name="state">Their fold; declares exactly one trip.</param>
    public static ValueList<TripEvidence> Of(AccountFeed feed, TripState state)
    {
        ArgumentNullException.ThrowIfNull(feed);
        ArgumentNullException.ThrowIfNull(state);
        Dictionary<KitId, int> failed = feed.Events
            .Select(timed => timed.Report.Body)
            .OfType<CopyFailed>()
            .Where(failure => failure.Drive is not null)
            .GroupBy(failure => failure.Drive!.Value)
            .ToDictionary(group => group.Key, group => group.Count());
        KitItem[] kit = [.. state.Kit];
        return TripLearning.Of(kit.ToValueList(), feed.Readings.ToValueList(), feed.Ledger.Now(feed.Newest).Holdings(), failed, feed.Newest);
    }
}
