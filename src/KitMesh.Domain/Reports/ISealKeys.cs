namespace KitMesh.Domain.Reports;

/// <summary>The keys of other nodes, as far as this one knows their certificates.</summary>
public interface ISealKeys
{
    /// <summary>Grows whenever the answer about a node may have changed.</summary>
    /// <param name="node">The node.</param>
    int Version(NodeId node);

    /// <summary>Judges a signature.</summary>
    /// <param name="node">Who is said to have signed.</param>
    /// <param name="message">From <see cref="SealMessage"/>.</param>
    /// <param name="signature">The signature.</param>
    SealVerdict Check(NodeId node, ReadOnlySpan<byte> message, ReadOnlySpan<byte> signature);
}
