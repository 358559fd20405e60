namespace KitMesh.Domain.Digest;

// Problem: the line is read aloud, written with a pencil in gloves and typed by somebody else.
// Method: 32 symbols, five bits each, digits and capitals without I, L, O and U (the base 32 that Douglas Crockford published; the set is from memory).
// Reading takes small letters, I and L for 1, O for 0, and drops blanks and hyphens, so that groups can be written apart. What still looks alike
// (5 and S, 2 and Z, 8 and B) is found by the check symbols.

/// <summary>The 32 symbols of a digest line.</summary>
internal static class LineAlphabet
{
    internal const string Symbols = "0123456789ABCDEFGHJKMNPQRSTVWXYZ";

    internal static char Symbol(int value) => Symbols[value];

    /// <summary>The value of a character; -1 for one that is no symbol, -2 for a separator.</summary>
    internal static int Value(char character) => char.ToUpperInvariant(character) switch
    {
        ' ' or '-' or '\t' or '\r' or '\n' => -2,
        'I' or 'L' => 1,
        'O' => 0,
        char symbol => Symbols.IndexOf(symbol, StringComparison.Ordinal),
    };
}
