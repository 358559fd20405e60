namespace KitMesh.Domain.Reports;

/// <summary>Free words of a person.</summary>
/// <param name="Author">Who wrote it, as they call themselves.</param>
/// <param name="Subject">What it is about; null for the trip.</param>
/// <param name="Text">The words.</param>
public sealed record Note(string Author, KitId? Subject, string Text) : ReportBody
{
    /// <inheritdoc/>
    public override ReportKind Kind => ReportKind.Note;
}
