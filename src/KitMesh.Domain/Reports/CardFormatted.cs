namespace KitMesh.Domain.Reports;

/// <summary>A card lost its clips: seen formatted at its next insertion, or told by a person.</summary>
/// <param name="Card">The card.</param>
/// <param name="LastInsertion">The last visit at which its clips were still there, where known.</param>
/// <param name="Inferred">True when concluded from an empty card, false when somebody said so.</param>
public sealed record CardFormatted(KitId Card, KitId? LastInsertion, bool Inferred) : ReportBody
{
    /// <inheritdoc/>
    public override ReportKind Kind => ReportKind.CardFormatted;
}
