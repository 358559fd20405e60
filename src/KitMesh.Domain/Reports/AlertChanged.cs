namespace KitMesh.Domain.Reports;

/// <summary>An agent raised or cleared an alert by itself. Hubs compute theirs and do not report them.</summary>
/// <param name="Rule">The rule's name in the alert catalogue.</param>
/// <param name="Subject">What it is about.</param>
/// <param name="Raised">True when raised, false when cleared.</param>
/// <param name="Message">What was seen, with its figures, for a person.</param>
public sealed record AlertChanged(string Rule, KitId Subject, bool Raised, string Message) : ReportBody
{
    /// <inheritdoc/>
    public override ReportKind Kind => ReportKind.AlertChanged;
}
