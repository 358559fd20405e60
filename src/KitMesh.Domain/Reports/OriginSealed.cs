namespace KitMesh.Domain.Reports;

/// <summary>The writer signs its own origin up to a sequence: what the chain hash stands for is what it wrote.</summary>
/// <param name="Sequence">The last sequence that is signed; below the seal's own.</param>
/// <param name="Chain">The chain hash there, of the writer's own history (see <see cref="ReportChain"/>).</param>
/// <param name="Signature">Over <see cref="SealMessage"/>, by the key of the writer's certificate.</param>
public sealed record OriginSealed(ulong Sequence, Sha256Hash Chain, ValueList<byte> Signature) : ReportBody
{
    /// <inheritdoc/>
    public override ReportKind Kind => ReportKind.OriginSealed;
}
