namespace KitMesh.Domain.Planning;

/// <summary>What a trip file tells for plans only.</summary>
/// <param name="Gear">Things that weigh, fit or fly.</param>
/// <param name="Choices">How many of which items come into question.</param>
public sealed record PlanExtras(ValueList<Gear> Gear, ValueList<KitChoice> Choices)
{
    /// <summary>Nothing of it.</summary>
    public static readonly PlanExtras None = new([], []);
}
