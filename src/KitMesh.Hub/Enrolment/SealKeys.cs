using System.Security.Cryptography;
using KitMesh.Domain.Reports;

namespace KitMesh.Hub.Enrolment;

/// <summary>The keys of nodes, from every certificate that proved itself.</summary>
/// <remarks>
/// Trap: a further hub may let in writers under any name, so a dishonest one could make a certificate with its own key for
/// somebody else's station. So a key that the trip root certified, or that a further hub certified for itself, goes before all
/// others of the name; and where two hubs certified keys for one name, none of them counts. The result depends on the set of
/// certificates alone.
/// </remarks>
internal sealed class SealKeys : ISealKeys
{
    private const int MostKeys = 16;
    private const int MostNodes = 10_000;
    private readonly Lock _gate = new();
    private readonly Dictionary<NodeId, List<(NodeId? Issuer, Sha256Hash Pin, byte[] Key)>> _nodes = [];

    /// <summary>Takes a key in.</summary>
    public void Add(NodeId node, NodeId? issuer, Sha256Hash pin, byte[] key)
    {
        lock (_gate)
        {
            if (!_nodes.TryGetValue(node, out List<(NodeId? Issuer, Sha256Hash Pin, byte[] Key)>? keys))
            {
                if (_nodes.Count >= MostNodes)
                {
                    return;
                }

                _nodes.Add(node, keys = []);
            }

            bool isStrong = IsStrong(node, issuer);
            if (keys.Exists(known => known.Pin == pin && known.Issuer == issuer))
            {
                return;
            }

            if (keys.Count < MostKeys)
            {
                keys.Add((issuer, pin, key));
            }
            else if (isStrong && keys.FindIndex(known => !IsStrong(node, known.Issuer)) is >= 0 and var weak)
            {
                keys[weak] = (issuer, pin, key);
            }
        }
    }

    /// <summary>Whether a node's key is known.</summary>
    public bool Knows(NodeId node, Sha256Hash pin)
    {
        lock (_gate)
        {
            return _nodes.TryGetValue(node, out List<(NodeId? Issuer, Sha256Hash Pin, byte[] Key)>? keys) && keys.Exists(known => known.Pin == pin);
        }
    }

    /// <inheritdoc/>
    public int Version(NodeId node)
    {
        lock (_gate)
        {
            return _nodes.TryGetValue(node, out List<(NodeId? Issuer, Sha256Hash Pin, byte[] Key)>? keys) ? keys.Count : 0;
        }
    }

    /// <inheritdoc/>
    public SealVerdict Check(NodeId node, ReadOnlySpan<byte> message, ReadOnlySpan<byte> signature)
    {
        byte[][] keys = Of(node);
        foreach (byte[] key in keys)
        {
            using ECDsa ecdsa = ECDsa.Create();
            ecdsa.ImportSubjectPublicKeyInfo(key, out _);
            if (ecdsa.VerifyData(message, signature, HashAlgorithmName.SHA256, DSASignatureFormat.IeeeP1363FixedFieldConcatenation))
            {
                return SealVerdict.Good;
            }
        }

        return keys.Length == 0 ? SealVerdict.Unknown : SealVerdict.Wrong;
    }

    private static bool IsStrong(NodeId node, NodeId? issuer) => issuer is null || issuer == node;

    private byte[][] Of(NodeId node)
    {
        lock (_gate)
        {
            if (!_nodes.TryGetValue(node, out List<(NodeId? Issuer, Sha256Hash Pin, byte[] Key)>? keys))
            {
                return [];
            }

            byte[][] strong = [.. keys.Where(key => IsStrong(node, key.Issuer)).Select(key => key.Key)];
            return strong.Length > 0 ? strong
                : keys.Select(key => key.Issuer).Distinct().Count() == 1 ? [.. keys.Select(key => key.Key)]
                : [];
        }
    }
}
