using NodaTime;

namespace KitMesh.Domain.Reports;

/// <summary>A person says where a thing is now: a drive in a case, a case with a team or a carrier, a team at a place.</summary>
/// <param name="Item">The thing.</param>
/// <param name="Into">What holds or carries it from now on; null when it stands alone.</param>
/// <param name="Author">Who says so.</param>
/// <param name="Since">When it moved, when told afterwards; null for the time of the report.</param>
public sealed record KitPlaced(KitId Item, KitId? Into, string Author, Instant? Since = null) : ReportBody
{
    /// <inheritdoc/>
    public override ReportKind Kind => ReportKind.KitPlaced;
}
