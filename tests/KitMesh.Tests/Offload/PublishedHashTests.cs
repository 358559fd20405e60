using System.Text;
using KitMesh.Offload.Hashing;
using KitMesh.Tests.Published;

namespace KitMesh.Tests.Offload;

/// <summary>Values from the hashes' own publications; hashes.csv names each source.</summary>
public sealed class PublishedHashTests
{
    private static readonly Dictionary<string, HashKind> Kinds = new()
    {
        ["XXH64"] = HashKind.Xxh64,
        ["XXH3-128"] = HashKind.Xxh128,
        ["BLAKE3"] = HashKind.Blake3,
        ["MD5"] = HashKind.Md5,
        ["SHA-1"] = HashKind.Sha1,
        ["SHA-256"] = HashKind.Sha256,
        ["SHA-512"] = HashKind.Sha512,
        ["C4"] = HashKind.C4,
    };

    [Theory]
    [InlineData("XXH64", 5)]
    [InlineData("XXH3-128", 10)]
    [InlineData("BLAKE3", 30)]
    [InlineData("MD5", 7)]
    [InlineData("SHA-1", 7)]
    [InlineData("SHA-256", 7)]
    [InlineData("SHA-512", 7)]
    [InlineData("C4", 5)]
    public void Hash_OfPublishedInputs_IsThePublishedValue(string algorithm, int atLeast)
    {
        List<PublishedRow> rows = [.. PublishedTable.Load("hashes.csv").Rows.Where(row => row["algorithm"] == algorithm)];
        Assert.True(rows.Count >= atLeast, $"{rows.Count} rows of {algorithm}");
        foreach (PublishedRow row in rows)
        {
            byte[] input = Input(row["input"], (int)row.Number("length"));
            Assert.Equal(row["expected"], Whole(Kinds[algorithm], input));
            Assert.Equal(row["expected"], InPieces(Kinds[algorithm], input));
        }
    }

    [Fact]
    public void Names_GoBothWays()
    {
        foreach (HashKind kind in Enum.GetValues<HashKind>())
        {
            Assert.True(HashNames.TryParse(HashNames.Of(kind), out HashKind again));
            Assert.Equal(kind, again);
        }

        Assert.False(HashNames.TryParse("crc32", out _));
    }

    private static string Whole(HashKind kind, byte[] input)
    {
        using RunningHash hash = RunningHash.Create(kind);
        hash.Append(input);
        return hash.Finish();
    }

    private static string InPieces(HashKind kind, byte[] input)
    {
        using RunningHash hash = RunningHash.Create(kind);

        // A hash that was used must start anew.
        hash.Append("left over"u8);
        hash.Finish();
        for (int at = 0; at < input.Length; at += 7)
        {
            hash.Append(input.AsSpan(at, Math.Min(7, input.Length - at)));
        }

        return hash.Finish();
    }

    private static byte[] Input(string name, int length) => name switch
    {
        "xxh-fill" => XxhFill(length),
        "repeat 0..250" => [.. Enumerable.Range(0, length).Select(i => (byte)(i % 251))],
        "million a" => [.. Enumerable.Repeat((byte)'a', 1_000_000)],
        _ => Encoding.ASCII.GetBytes(name["ascii:".Length..].Replace("\\n", "\n", StringComparison.Ordinal)),
    };

    // The filler of xxHash's own sanity check.
    private static byte[] XxhFill(int length)
    {
        byte[] bytes = new byte[length];
        ulong generator = 2654435761;
        for (int i = 0; i < length; i++)
        {
            bytes[i] = (byte)(generator >> 56);
            generator *= 11400714785074694797;
        }

        return bytes;
    }
}
