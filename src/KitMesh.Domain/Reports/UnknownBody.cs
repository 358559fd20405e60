namespace KitMesh.Domain.Reports;

/// <summary>A fact of a kind that this version cannot read. Its bytes stay in the <see cref="RawReport"/>.</summary>
/// <param name="Reason">Why it could not be read, in words for a person.</param>
public sealed record UnknownBody(string Reason) : ReportBody
{
    /// <inheritdoc/>
    public override ReportKind Kind => ReportKind.Unknown;
}
