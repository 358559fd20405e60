using System.IO.Hashing;
using System.Security.Cryptography;
using KitMesh.Footage.Manifests;

namespace KitMesh.Offload.Hashing;

/// <summary>A hash fed piece by piece. One thread feeds it; <see cref="Finish"/> starts it anew.</summary>
public abstract class RunningHash : IDisposable
{
    /// <summary>Which hash it is.</summary>
    public abstract HashKind Kind { get; }

    /// <summary>A fresh hash of a kind.</summary>
    /// <param name="kind">Which.</param>
    /// <exception cref="ArgumentOutOfRangeException">The kind is none.</exception>
    public static RunningHash Create(HashKind kind) => kind switch
    {
        HashKind.Xxh128 => new XxHash(kind, new XxHash128()),
        HashKind.Xxh64 => new XxHash(kind, new XxHash64()),
        HashKind.Sha256 => new Digest(kind, HashAlgorithmName.SHA256),
        HashKind.Sha512 => new Digest(kind, HashAlgorithmName.SHA512),
        HashKind.C4 => new Digest(kind, HashAlgorithmName.SHA512),
        HashKind.Md5 => new Digest(kind, HashAlgorithmName.MD5),
        HashKind.Sha1 => new Digest(kind, HashAlgorithmName.SHA1),
        HashKind.Blake3 => new Blake(),
        _ => throw new ArgumentOutOfRangeException(nameof(kind), kind, "No such hash."),
    };

    /// <summary>Takes in the next bytes.</summary>
    /// <param name="bytes">The bytes.</param>
    public abstract void Append(ReadOnlySpan<byte> bytes);

    /// <summary>The hash as text (lower-case hexadecimal, or base 58 for C4), and a fresh start.</summary>
    public abstract string Finish();

    /// <inheritdoc/>
    public void Dispose()
    {
        Dispose(true);
        GC.SuppressFinalize(this);
    }

    /// <summary>Frees what the hash holds.</summary>
    /// <param name="disposing">True when called by <see cref="Dispose()"/>.</param>
    protected virtual void Dispose(bool disposing)
    {
    }

    private sealed class XxHash(HashKind kind, NonCryptographicHashAlgorithm hash) : RunningHash
    {
        public override HashKind Kind => kind;

        public override void Append(ReadOnlySpan<byte> bytes) => hash.Append(bytes);

        public override string Finish() => Convert.ToHexStringLower(hash.GetHashAndReset());
    }

    private sealed class Digest(HashKind kind, HashAlgorithmName name) : RunningHash
    {
        private readonly IncrementalHash _hash = IncrementalHash.CreateHash(name);

        public override HashKind Kind => kind;

        public override void Append(ReadOnlySpan<byte> bytes) => _hash.AppendData(bytes);

        public override string Finish()
        {
            byte[] digest = _hash.GetHashAndReset();
            return kind == HashKind.C4 ? C4Id.FromDigest(digest) : Convert.ToHexStringLower(digest);
        }

        protected override void Dispose(bool disposing) => _hash.Dispose();
    }

    private sealed class Blake : RunningHash
    {
        private Blake3.Hasher _hasher = Blake3.Hasher.New();

        public override HashKind Kind => HashKind.Blake3;

        public override void Append(ReadOnlySpan<byte> bytes) => _hasher.Update(bytes);

        public override string Finish()
        {
            string text = Convert.ToHexStringLower(_hasher.Finalize().AsSpan());
            _hasher.Reset();
            return text;
        }

        protected override void Dispose(bool disposing) => _hasher.Dispose();
    }
}
