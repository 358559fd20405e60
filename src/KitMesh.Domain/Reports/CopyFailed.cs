namespace KitMesh.Domain.Reports;

/// <summary>A copy could not be made, or a copy that was there is no longer good.</summary>
/// <param name="Clip">The clip; null when the card could not be read far enough to hash it.</param>
/// <param name="Drive">The drive; null when the fault lies with the card.</param>
/// <param name="Path">Path on the drive, or on the card when the fault lies there.</param>
/// <param name="Failure">What went wrong.</param>
/// <param name="Detail">What the system said, for a person.</param>
/// <param name="Card">The card that the copy was to come from; null for a recheck.</param>
public sealed record CopyFailed(
    ClipHash? Clip,
    KitId? Drive,
    string Path,
    CopyFailure Failure,
    string Detail,
    KitId? Card) : ReportBody
{
    /// <inheritdoc/>
    public override ReportKind Kind => ReportKind.CopyFailed;
}
