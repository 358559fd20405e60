using System.Diagnostics.CodeAnalysis;
using System.Security.Cryptography;
using System.Text;

namespace KitMesh.Protocol.Certificates;

/// <summary>A one-time code: 18 symbols that a person can read aloud and type with gloves on, 70 of their bits secret.</summary>
/// <remarks>
/// <para>
/// Problem: a code must be strong and typed without mistakes in the cold. Method: 32 symbols without I, L, O and U
/// (lower case, and I, L, O for 1, 1, 0, are understood); the first 3 symbols name the code in public, 14 are the secret, the
/// last is a check sum that finds every single wrong symbol before an attempt is spent.
/// </para>
/// <para>
/// The check sum is the sum of (2i+1)·v(i) modulo 32: an odd factor has an inverse modulo 32, so no single change goes
/// unseen; two neighbours exchanged are seen unless they differ by 16.
/// </para>
/// <para>The secret itself never travels, see <see cref="EnrolProof"/>. <see cref="ToString"/> hides it, so that no log tells it.</para>
/// </remarks>
public sealed class EnrolCode
{
    /// <summary>Random bytes that a code is made from.</summary>
    public const int RandomBytes = Payload;

    private const string Alphabet = "0123456789ABCDEFGHJKMNPQRSTVWXYZ";
    private const int Length = 18;
    private const int Payload = 17;
    private const int NameLength = 3;
    private readonly string _symbols;

    private EnrolCode(string symbols)
    {
        _symbols = symbols;
        Name = symbols[..NameLength];
    }

    /// <summary>The public part, by which the hub finds the code.</summary>
    public string Name { get; }

    /// <summary>A new code.</summary>
    /// <param name="random">17 random bytes; the lower 5 bits of each are used.</param>
    public static EnrolCode From(ReadOnlySpan<byte> random)
    {
        ArgumentOutOfRangeException.ThrowIfNotEqual(random.Length, RandomBytes);
        Span<char> symbols = stackalloc char[Length];
        for (int i = 0; i < Payload; i++)
        {
            symbols[i] = Alphabet[random[i] & 31];
        }

        symbols[Payload] = Alphabet[Check(symbols[..Payload])];
        return new EnrolCode(symbols.ToString());
    }

    /// <summary>A code from what somebody typed; blanks, hyphens and case do not matter.</summary>
    /// <param name="text">What was typed.</param>
    /// <param name="code">The code.</param>
    /// <returns>False when it was mistyped.</returns>
    public static bool TryParse(string? text, [NotNullWhen(true)] out EnrolCode? code)
    {
        code = null;
        if (text is null || text.Length > 64)
        {
            return false;
        }

        var symbols = new StringBuilder(Length);
        foreach (char typed in text)
        {
            if (typed is ' ' or '-' or '\t' or '\r' or '\n')
            {
                continue;
            }

            char symbol = char.ToUpperInvariant(typed) switch { 'O' => '0', 'I' or 'L' => '1', char other => other };
            if (!Alphabet.Contains(symbol, StringComparison.Ordinal) || symbols.Length == Length)
            {
                return false;
            }

            symbols.Append(symbol);
        }

        string whole = symbols.ToString();
        if (whole.Length != Length || Alphabet.IndexOf(whole[Payload], StringComparison.Ordinal) != Check(whole.AsSpan(0, Payload)))
        {
            return false;
        }

        code = new EnrolCode(whole);
        return true;
    }

    /// <summary>The whole code in three groups, for the one who lets the device in. Never log it.</summary>
    public string Reveal() => $"{_symbols[..6]}-{_symbols[6..12]}-{_symbols[12..]}";

    /// <summary>The key of the proofs.</summary>
    internal byte[] Key() => SHA256.HashData(Encoding.ASCII.GetBytes("kitmesh enrol key 1\0" + _symbols));

    /// <summary>The public part alone.</summary>
    public override string ToString() => $"{Name}…";

    private static int Check(ReadOnlySpan<char> payload)
    {
        int sum = 0;
        for (int i = 0; i < payload.Length; i++)
        {
            sum += ((2 * i) + 1) * Alphabet.IndexOf(payload[i], StringComparison.Ordinal);
        }

        return sum & 31;
    }
}
