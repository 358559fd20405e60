namespace KitMesh.Domain.Digest;

// Problem: one wrong or swapped symbol must never be read as other figures.
// Method: the six check symbols of bech32m (BIP-350, P. Wuille, 2020: generator of BIP-173 with the final constant 0x2bc830a3) with the
// human-readable part "km". The code is a BCH code over GF(32) of length 1023 and distance 4: up to three wrong symbols are always found at our
// lengths, so a wrong symbol and two swapped ones are; anything else slips through once in 2^30. The constant of BIP-350 instead of 1 is what makes
// a symbol put in or left out before the end show up too. Only the mapping of values to characters is our own.

/// <summary>The check symbols of a digest line.</summary>
internal static class LineCheck
{
    internal const int Symbols = 6;

    private const uint Final = 0x2bc830a3;

    private static readonly uint[] Generator = [0x3b6a57b2, 0x26508e6d, 0x1ea119fa, 0x3d4233dd, 0x2a1462b3];

    /// <summary>The six check symbols of some data.</summary>
    internal static byte[] Of(ReadOnlySpan<byte> data)
    {
        uint sum = Remainder(data);
        for (int i = 0; i < Symbols; i++)
        {
            sum = Step(sum, 0);
        }

        sum ^= Final;
        byte[] check = new byte[Symbols];
        for (int i = 0; i < Symbols; i++)
        {
            check[i] = (byte)((sum >> (5 * (Symbols - 1 - i))) & 31);
        }

        return check;
    }

    /// <summary>Whether data with its check symbols is whole.</summary>
    internal static bool Holds(ReadOnlySpan<byte> symbols) => Remainder(symbols) == Final;

    /// <summary>Places, from 1, where another symbol would make it whole.</summary>
    /// <remarks>The check is linear: an error of value e some places before the end changes the remainder by e moved on by as many empty steps.</remarks>
    internal static ValueList<int> Suspects(ReadOnlySpan<byte> symbols)
    {
        uint change = Remainder(symbols) ^ Final;
        var suspects = new List<int>();
        Span<uint> moved = stackalloc uint[32];
        for (int error = 1; error < 32; error++)
        {
            moved[error] = (uint)error;
        }

        for (int place = symbols.Length; place > 0; place--)
        {
            for (int error = 1; error < 32; error++)
            {
                if (moved[error] == change)
                {
                    suspects.Insert(0, place);
                }

                moved[error] = Step(moved[error], 0);
            }
        }

        return suspects.ToValueList();
    }

    internal static uint Remainder(ReadOnlySpan<byte> symbols)
    {
        // "km" as BIP-173 spreads it: high bits, a zero, low bits.
        uint sum = 1;
        sum = Step(Step(Step(Step(Step(sum, 3), 3), 0), 'k' & 31), 'm' & 31);
        foreach (byte symbol in symbols)
        {
            sum = Step(sum, symbol);
        }

        return sum;
    }

    internal static uint Step(uint sum, int symbol)
    {
        uint top = sum >> 25;
        sum = ((sum & 0x1ffffff) << 5) ^ (uint)symbol;
        for (int i = 0; i < Generator.Length; i++)
        {
            if (((top >> i) & 1) != 0)
            {
                sum ^= Generator[i];
            }
        }

        return sum;
    }
}
