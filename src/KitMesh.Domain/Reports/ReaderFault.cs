namespace KitMesh.Domain.Reports;

/// <summary>A device gave no answer or nonsense. What it said is kept.</summary>
/// <param name="Reader">The reader, as the agent file names it.</param>
/// <param name="Subject">The kit item it reads, where one is named.</param>
/// <param name="Message">What happened, for a person.</param>
/// <param name="Raw">What the device said, cut to 256 bytes.</param>
/// <param name="Cleared">True when the device answers well again.</param>
public sealed record ReaderFault(string Reader, KitId? Subject, string Message, ValueList<byte> Raw, bool Cleared) : ReportBody
{
    /// <summary>The most bytes of an answer that are kept.</summary>
    public const int MaxRaw = 256;

    /// <inheritdoc/>
    public override ReportKind Kind => ReportKind.ReaderFault;
}
