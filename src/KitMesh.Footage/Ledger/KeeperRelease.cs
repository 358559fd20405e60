using KitMesh.Domain.Reports;
using NodaTime;
using NodaTime.Text;

namespace KitMesh.Footage.Ledger;

/// <summary>A keeper's release of a card against the rule.</summary>
/// <param name="Stamp">When.</param>
/// <param name="VisitOrder">The last visit that it covers.</param>
/// <param name="Fact">Who, why and what was given up.</param>
internal sealed record KeeperRelease(PackedStamp Stamp, int VisitOrder, CardReleased Fact)
{
    public string Words =>
        $"released against the rule by {Fact.Author} at {InstantPattern.General.Format(Instant.FromUnixTimeTicks(Stamp.Ticks))}: {Fact.Reason}; given up: {Fact.Given}";
}
