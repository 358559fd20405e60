namespace KitMesh.Domain.Reports;

/// <summary>Signs for this node. Handed in, since signatures are random: a simulated world has a cheap one that repeats.</summary>
public interface ISealSigner
{
    /// <summary>Signs a message.</summary>
    /// <param name="message">From <see cref="SealMessage"/>.</param>
    byte[] Sign(ReadOnlySpan<byte> message);
}
