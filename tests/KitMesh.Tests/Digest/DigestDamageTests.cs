using System.Text;
using CsCheck;
using KitMesh.Domain.Digest;

namespace KitMesh.Tests.Digest;

/// <summary>A damaged line is found, never read as other figures.</summary>
public sealed class DigestDamageTests
{
    private static readonly DigestSize[] Sizes = Enum.GetValues<DigestSize>();

    public static TheoryData<DigestSize> EverySize => [.. Sizes];

    [Theory]
    [InlineData("a", "lqfn3a")]
    [InlineData("an83characterlonghumanreadablepartthatcontainsthetheexcludedcharactersbioandnumber1", "sg7hg6")]
    [InlineData("abcdef", "l7aum6echk45nj3s0wdvt2fg8x9yrzpqzd3ryx")]
    [InlineData("split", "checkupstagehandshakeupstreamerranterredcaperredlc445v")]
    [InlineData("?", "v759aa")]
    public void Check_PublishedValidStrings_Hold(string prefix, string data)
    {
        // Valid bech32m strings of BIP-350 (P. Wuille, 2020); typed from memory, and whole by their own check symbols, which a wrong letter would break.
        const string charset = "qpzry9x8gf2tvdw0s3jn54khce6mua7l";
        uint sum = 1;
        foreach (char letter in prefix)
        {
            sum = LineCheck.Step(sum, letter >> 5);
        }

        sum = LineCheck.Step(sum, 0);
        foreach (char letter in prefix)
        {
            sum = LineCheck.Step(sum, letter & 31);
        }

        foreach (char letter in data)
        {
            sum = LineCheck.Step(sum, charset.IndexOf(letter, StringComparison.Ordinal));
        }

        Assert.Equal(0x2bc830a3u, sum);
    }

    [Theory]
    [MemberData(nameof(EverySize))]
    public void Read_EverySingleSymbolReplacedByEveryOther_IsRefusedAndPointedAt(DigestSize size)
    {
        string line = DigestLine.Write(DigestDraw.Full(5), size);
        byte[] symbols = [.. line.Select(symbol => (byte)LineAlphabet.Value(symbol))];
        for (int place = 0; place < symbols.Length; place++)
        {
            byte whole = symbols[place];
            for (byte other = 0; other < 32; other++)
            {
                symbols[place] = other;
                Assert.Equal(other == whole, LineCheck.Holds(symbols));
            }

            symbols[place] = (byte)(whole ^ 7);
            Assert.Contains(place + 1, Assert.IsType<DigestReading.Refused>(DigestLine.Read(Text(symbols))).Suspects);
            symbols[place] = whole;
        }
    }

    [Theory]
    [MemberData(nameof(EverySize))]
    public void Read_EveryTwoNeighboursSwapped_IsRefused(DigestSize size)
    {
        char[] line = DigestLine.Write(DigestDraw.Full(6), size).ToCharArray();
        for (int place = 1; place < line.Length; place++)
        {
            (line[place - 1], line[place]) = (line[place], line[place - 1]);
            if (line[place - 1] != line[place])
            {
                Assert.IsType<DigestReading.Refused>(DigestLine.Read(new string(line)));
            }

            (line[place - 1], line[place]) = (line[place], line[place - 1]);
        }
    }

    [Theory]
    [MemberData(nameof(EverySize))]
    public void Read_EverySymbolLeftOutOrDoubled_IsRefused(DigestSize size)
    {
        string line = DigestLine.Write(DigestDraw.Full(7), size);
        for (int place = 0; place < line.Length; place++)
        {
            Assert.IsType<DigestReading.Refused>(DigestLine.Read(line.Remove(place, 1)));
            Assert.IsType<DigestReading.Refused>(DigestLine.Read(line.Insert(place, line[place..(place + 1)])));
        }
    }

    [Fact]
    public void Check_AnyTwoWrongSymbols_AreFoundInTheLongestLine()
    {
        // Linear code: two errors slip through only when two single errors leave the same remainder, so all of them must differ.
        var seen = new HashSet<uint>();
        byte[] zeros = new byte[DigestLine.MaxSymbols];
        uint clean = LineCheck.Remainder(zeros);
        for (int place = 0; place < zeros.Length; place++)
        {
            for (byte wrong = 1; wrong < 32; wrong++)
            {
                zeros[place] = wrong;
                Assert.True(seen.Add(LineCheck.Remainder(zeros) ^ clean));
            }

            zeros[place] = 0;
        }
    }

    [Fact]
    public void Read_AnyText_NeverThrows() => Gen.String[0, 500].Sample(text => Assert.NotNull(DigestLine.Read(text)));

    [Fact]
    public void Read_SoundCheckOverAnyBits_IsReadToTheSameLineOrRefused() => Gen.Byte[0, 31].Array[1, 334].Sample(
        symbols =>
        {
            // What a broken or hostile sender could make: the check fits, the bits are noise.
            symbols[0] = 1;
            if (DigestLine.Read(Text([.. symbols, .. LineCheck.Of(symbols)])) is DigestReading.Read read)
            {
                Assert.Equal(Text([.. DigestLayout.Write(read.Content)]), Text(symbols));
            }
        },
        iter: 20_000);

    [Fact]
    public void Read_MutatedLines_AreTheOldLineOrRefused() => Gen.Select(Gen.Int, Gen.Int[0, 3]).Sample(
        (seed, size) =>
        {
            string line = DigestLine.Write(new DigestDraw(seed).Content(), Sizes[size]);
            string mutated = Mutate(line, new Random(seed));

            if (DigestLine.Read(mutated) is DigestReading.Read read)
            {
                Assert.Equal(line, read.Line);
            }
        },
        iter: 20_000);

    [Fact]
    public void Read_OtherVersion_SaysSo()
    {
        byte[] symbols = [2, 0, 0, 0, 0];

        Assert.Contains("version 2", Assert.IsType<DigestReading.Refused>(DigestLine.Read(Text([.. symbols, .. LineCheck.Of(symbols)]))).Reason, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("", "too few")]
    [InlineData("1QYW8U", "Character 6")]
    public void Read_NoLine_SaysWhy(string text, string reason) =>
        Assert.Contains(reason, Assert.IsType<DigestReading.Refused>(DigestLine.Read(text)).Reason, StringComparison.Ordinal);

    private static string Text(byte[] symbols) => string.Concat(symbols.Select(symbol => LineAlphabet.Symbol(symbol)));

    private static string Mutate(string line, Random random)
    {
        var text = new StringBuilder(line);
        for (int i = random.Next(1, 5); i > 0 && text.Length > 1; i--)
        {
            int at = random.Next(text.Length);
            switch (random.Next(6))
            {
                case 0: text[at] = LineAlphabet.Symbols[random.Next(32)]; break;
                case 1: text.Remove(at, 1); break;
                case 2: text.Insert(at, LineAlphabet.Symbols[random.Next(32)]); break;
                case 3: text.Insert(at, text.ToString(at, Math.Min(5, text.Length - at))); break;
                case 4: text.Remove(at, Math.Min(5, text.Length - at)); break;
                default: text[at] = "-ilo /!ü"[random.Next(8)]; break;
            }
        }

        return text.ToString();
    }
}
