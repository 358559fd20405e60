using KitMesh.Domain;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Planning;

namespace KitMesh.TripFile;

/// <summary>What came of reading a trip file: <see cref="TripRead"/> or <see cref="TripRefused"/>.</summary>
public abstract record TripFileResult
{
    private protected TripFileResult()
    {
    }
}

/// <summary>The file is sound.</summary>
/// <param name="Items">Everything it declares, in the file's order; exactly one of them is the trip.</param>
/// <param name="Questions">What looks odd and was taken as written.</param>
public sealed record TripRead(ValueList<KitItem> Items, ValueList<TripProblem> Questions) : TripFileResult
{
    /// <summary>Links between hubs: the hubs that read the file keep to them, and they are never reported.</summary>
    public ValueList<HubLink> Links { get; init; } = [];

    /// <summary>What the file tells for plans only: it is never reported.</summary>
    public PlanExtras Extras { get; init; } = PlanExtras.None;
}

/// <summary>The file is wrong and nothing of it is used.</summary>
/// <param name="Problems">Every mistake found, by line; questions among them.</param>
public sealed record TripRefused(ValueList<TripProblem> Problems) : TripFileResult;
