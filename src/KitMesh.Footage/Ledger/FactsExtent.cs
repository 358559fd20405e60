namespace KitMesh.Footage.Ledger;

/// <summary>How far the tables had grown at some moment: rows only ever get added, so this cuts a consistent picture out of them.</summary>
/// <param name="Sightings">Sightings.</param>
/// <param name="Events">Copy events.</param>
internal readonly record struct FactsExtent(int Sightings, int Events)
{
    public static FactsExtent Of(LedgerFacts facts) => new(facts.Sightings.Count, facts.Events.Count);
}
