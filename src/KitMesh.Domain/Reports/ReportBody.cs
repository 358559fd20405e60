namespace KitMesh.Domain.Reports;

/// <summary>What a report says. The set of kinds is closed here; an unknown kind is kept as <see cref="UnknownBody"/>.</summary>
public abstract record ReportBody
{
    private protected ReportBody()
    {
    }

    /// <summary>The kind, as numbered on the wire.</summary>
    public abstract ReportKind Kind { get; }
}
