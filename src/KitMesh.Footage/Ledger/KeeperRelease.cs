using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using NodaTime;

namespace KitMesh.Footage.Ledger;

/// <summary>A keeper's release of a card against the rule.</summary>
/// <param name="Stamp">When.</param>
/// <param name="VisitOrder">The last visit that it covers.</param>
/// <param name="Fact">Who, why and what was given up.</param>
/// <param name="Zone">The crew's civil time less UTC: people read these words.</param>
internal sealed record KeeperRelease(PackedStamp Stamp, int VisitOrder, CardReleased Fact, Offset Zone)
{
    public string Words =>
        $"released against the rule by {Fact.Author} at {CrewTime.ShowWithZone(Instant.FromUnixTimeTicks(Stamp.Ticks), Zone)}: {Fact.Reason}; given up: {Fact.Given}";
}
