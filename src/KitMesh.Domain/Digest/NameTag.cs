using System.Text;
using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Digest;

/// <summary>Stands for a name in a digest line: the first ten bits of the SHA-256 of its UTF-8 bytes.</summary>
/// <remarks>Both ends declare the same kit, so the reader finds the name again; two names share a tag once in 1,024 pairs, and the packer says so.</remarks>
public readonly record struct NameTag
{
    /// <summary>Bits of a tag.</summary>
    public const int Bits = 10;

    /// <summary>A tag as it stands in a line.</summary>
    /// <param name="value">From 0 to 1,023.</param>
    /// <exception cref="ArgumentOutOfRangeException">The value has more than ten bits.</exception>
    public NameTag(int value)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(value);
        ArgumentOutOfRangeException.ThrowIfGreaterThanOrEqual(value, 1 << Bits);
        Value = value;
    }

    /// <summary>The ten bits.</summary>
    public int Value { get; }

    /// <summary>The tag of a name.</summary>
    /// <param name="name">A team, bank, drive or another thing.</param>
    public static NameTag Of(KitId name) => Of(name.Value);

    /// <summary>The tag of a name that is no thing's: an alert rule.</summary>
    /// <param name="name">The name.</param>
    public static NameTag Of(string name) => new((int)(Sha256Hash.Of(Encoding.UTF8.GetBytes(name)).High >> (128 - Bits)));

    /// <summary>The tag as two symbols, for a name that nobody knows.</summary>
    public override string ToString() => $"?{LineAlphabet.Symbol(Value >> 5)}{LineAlphabet.Symbol(Value & 31)}";
}
