using System.Numerics;
using System.Security.Cryptography;

namespace KitMesh.Footage.Manifests;

/// <summary>C4 identifier: a SHA-512 digest as a big-endian number in base 58, padded to 88 digits, after the letters "c4".</summary>
/// <remarks>
/// Source: SMPTE ST 2114:2017, "Unique Digital Media Identifier (C4 ID)". The alphabet leaves out 0, O, I and l.
/// Check: <c>C4_OfPublishedInputs_IsThePublishedId</c>.
/// </remarks>
public static class C4Id
{
    /// <summary>Characters of an identifier.</summary>
    public const int Length = 90;

    private const string Alphabet = "123456789ABCDEFGHJKLMNPQRSTUVWXYZabcdefghijkmnopqrstuvwxyz";

    /// <summary>The identifier of a SHA-512 digest.</summary>
    /// <param name="digest">64 bytes.</param>
    /// <exception cref="ArgumentException">The digest is not 64 bytes long.</exception>
    public static string FromDigest(ReadOnlySpan<byte> digest)
    {
        if (digest.Length != SHA512.HashSizeInBytes)
        {
            throw new ArgumentException("A SHA-512 digest has 64 bytes.", nameof(digest));
        }

        Span<char> text = stackalloc char[Length];
        text.Fill(Alphabet[0]);
        text[0] = 'c';
        text[1] = '4';
        var number = new BigInteger(digest, isUnsigned: true, isBigEndian: true);
        for (int at = Length - 1; !number.IsZero; at--)
        {
            number = BigInteger.DivRem(number, Alphabet.Length, out BigInteger digit);
            text[at] = Alphabet[(int)digit];
        }

        return new string(text);
    }

    /// <summary>The identifier of some bytes.</summary>
    /// <param name="bytes">The bytes.</param>
    public static string Of(ReadOnlySpan<byte> bytes) => FromDigest(SHA512.HashData(bytes));
}
