namespace KitMesh.Domain.Reports;

/// <summary>A keeper releases a card against the copy rule. It stands in the ledger for ever.</summary>
/// <param name="Card">The card.</param>
/// <param name="Insertion">The visit whose clips are given up; clips found after it are not covered.</param>
/// <param name="Author">Who decides, as they call themselves.</param>
/// <param name="Reason">Why, in their words.</param>
/// <param name="Given">What they were shown and confirmed that may be lost: the clips short of proof, in words with figures.</param>
public sealed record CardReleased(KitId Card, KitId Insertion, string Author, string Reason, string Given) : ReportBody
{
    /// <inheritdoc/>
    public override ReportKind Kind => ReportKind.CardReleased;
}
