using System.Text;
using KitMesh.Domain.Reports;

namespace KitMesh.TestKit.Sync;

/// <summary>Signatures without curves: SHA-256 over a secret of the node and the message. They repeat, and cost next to nothing.</summary>
public sealed class PlainSealKeys : ISealKeys
{
    private readonly HashSet<NodeId> _unknown = [];
    private int _version;

    /// <summary>The signer of a node.</summary>
    public static ISealSigner SignerOf(NodeId node) => new Signer(node);

    /// <summary>Nobody has shown a certificate of this node yet.</summary>
    public void Hide(NodeId node)
    {
        _unknown.Add(node);
        _version++;
    }

    /// <summary>Its certificate has come.</summary>
    public void Show(NodeId node)
    {
        _unknown.Remove(node);
        _version++;
    }

    public int Version(NodeId node) => _version;

    public SealVerdict Check(NodeId node, ReadOnlySpan<byte> message, ReadOnlySpan<byte> signature) =>
        _unknown.Contains(node) ? SealVerdict.Unknown
        : signature.SequenceEqual(SignerOf(node).Sign(message)) ? SealVerdict.Good
        : SealVerdict.Wrong;

    private sealed class Signer(NodeId node) : ISealSigner
    {
        public byte[] Sign(ReadOnlySpan<byte> message)
        {
            byte[] half = Sha256Hash.Of([.. Encoding.ASCII.GetBytes($"secret of {node}"), .. message]).ToArray();
            return [.. half, .. half];
        }
    }
}
