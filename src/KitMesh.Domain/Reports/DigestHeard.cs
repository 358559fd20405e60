namespace KitMesh.Domain.Reports;

/// <summary>A digest line that somebody received from a team by voice, messenger or radio and typed in: second-hand news.</summary>
/// <param name="Line">The line in its plain form: capitals and digits, without separators (docs/digest-line.md). What it says is decoded from it whenever it is shown.</param>
/// <param name="Author">Who typed it, as they call themselves; may be empty.</param>
public sealed record DigestHeard(string Line, string Author) : ReportBody
{
    /// <inheritdoc/>
    public override ReportKind Kind => ReportKind.DigestHeard;
}
