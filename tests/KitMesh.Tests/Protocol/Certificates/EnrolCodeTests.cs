using CsCheck;
using KitMesh.Domain.Reports;
using KitMesh.Protocol.Certificates;

namespace KitMesh.Tests.Protocol.Certificates;

public sealed class EnrolCodeTests
{
    private static readonly Gen<EnrolCode> Codes = Gen.Byte.Array[EnrolCode.RandomBytes].Select(bytes => EnrolCode.From(bytes));

    [Fact]
    public void TryParse_Revealed_IsTheSameCode() => Codes.Sample(code =>
    {
        Assert.True(EnrolCode.TryParse(code.Reveal(), out EnrolCode? read));
        Assert.Equal(code.Reveal(), read.Reveal());
        Assert.Equal(code.Name, read.Name);
    });

    [Fact]
    public void TryParse_TypedInTheCold_IsUnderstood() => Codes.Sample(code =>
    {
        string typed = code.Reveal().ToLowerInvariant().Replace('0', 'o').Replace('1', 'l').Replace("-", "  ", StringComparison.Ordinal) + "\r\n";
        Assert.True(EnrolCode.TryParse(typed, out EnrolCode? read));
        Assert.Equal(code.Reveal(), read.Reveal());
    });

    [Fact]
    public void TryParse_AnySingleSymbolWrong_IsFound()
    {
        const string alphabet = "0123456789ABCDEFGHJKMNPQRSTVWXYZ";
        Codes.Sample(
            code =>
            {
                string right = code.Reveal();
                for (int i = 0; i < right.Length; i++)
                {
                    foreach (char symbol in alphabet.Where(symbol => right[i] != '-' && symbol != right[i]))
                    {
                        Assert.False(EnrolCode.TryParse(right[..i] + symbol + right[(i + 1)..], out _));
                    }
                }
            },
            iter: 20);
    }

    [Theory]
    [InlineData(null)]
    [InlineData("")]
    [InlineData("ABCDEF-GHJKMN-PQRST")]
    [InlineData("UUUUUU-UUUUUU-UUUUUU")]
    [InlineData("ABCDEF-GHJKMN-PQRSTV-ABCDEF-GHJKMN-PQRSTV-ABCDEF-GHJKMN-PQRSTV-ABCDEF-GHJKMN-PQRSTV")]
    public void TryParse_NoCode_IsRefused(string? text) => Assert.False(EnrolCode.TryParse(text, out _));

    [Fact]
    public void ToString_Code_TellsThePublicPartOnly() => Codes.Sample(code =>
    {
        Assert.Equal($"{code.Name}…", code.ToString());
        Assert.Equal($"https://192.168.4.1:7433/ {code.Name}…", new EnrolInvite(new Uri("https://192.168.4.1:7433"), default, code).ToString());
    });

    [Fact]
    public void Invite_Revealed_ReadsBack() => Gen.Select(Codes, Gen.Byte.Array[32]).Sample((code, key) =>
    {
        var invite = new EnrolInvite(new Uri("https://[fd00::1]:7433"), Sha256Hash.Of(key), code);
        Assert.True(EnrolInvite.TryParse(invite.Reveal(), out EnrolInvite? read));
        Assert.Equal(invite.Hub, read.Hub);
        Assert.Equal(invite.Pin, read.Pin);
        Assert.Equal(code.Reveal(), read.Code.Reveal());
    });

    [Theory]
    [InlineData("kitmesh:enrol?")]
    [InlineData("kitmesh:enrol?hub=http%3A%2F%2F192.168.4.1&pin=x&code=y")]
    [InlineData("kitmesh:enrol?hub=https%3A%2F%2Fa&hub=https%3A%2F%2Fb")]
    [InlineData("https://192.168.4.1/")]
    public void Invite_Broken_IsRefused(string text) => Assert.False(EnrolInvite.TryParse(text, out _));

    [Fact]
    public void TryParse_AnyText_NeverThrows() => Gen.OneOf(Gen.String, Gen.String.Select(text => "kitmesh:enrol?" + text), Gen.String.Select(text => $"kitmesh:enrol?hub=https%3A%2F%2Fa&pin={text}&code={text}")).Sample(
        text =>
        {
            Assert.False(EnrolInvite.TryParse(text, out _));
            EnrolCode.TryParse(text, out _);
            KeyPin.TryParse(text, out _);
        },
        iter: 5_000);

    [Fact]
    public void Proof_AnythingElseSeen_Differs()
    {
        EnrolCode code = EnrolCode.From(new byte[EnrolCode.RandomBytes]);
        EnrolCode other = EnrolCode.From([.. Enumerable.Range(0, EnrolCode.RandomBytes).Select(i => (byte)i)]);
        Sha256Hash pin = Sha256Hash.Of([1]);
        byte[] proof = EnrolProof.OfDevice(code, pin, [1, 2]);

        Assert.True(EnrolProof.Agrees(proof, EnrolProof.OfDevice(code, pin, [1, 2])));
        Assert.False(EnrolProof.Agrees(proof, EnrolProof.OfDevice(other, pin, [1, 2])));
        Assert.False(EnrolProof.Agrees(proof, EnrolProof.OfDevice(code, Sha256Hash.Of([2]), [1, 2])));
        Assert.False(EnrolProof.Agrees(proof, EnrolProof.OfDevice(code, pin, [1, 3])));
        Assert.False(EnrolProof.Agrees(EnrolProof.OfHub(code, pin, [1], [2], [], [3]), EnrolProof.OfHub(code, pin, [1], [], [2], [3])));
    }

    [Fact]
    public void Proof_OfDevice_IsHmacSha256AsDocumented()
    {
        // docs/enrolment.md, computed here with the framework's one-shot HMAC (RFC 2104) from the parts as the page lists them.
        EnrolCode code = EnrolCode.From(new byte[EnrolCode.RandomBytes]);
        Sha256Hash pin = Sha256Hash.Of("key"u8);
        byte[] key = System.Security.Cryptography.SHA256.HashData("kitmesh enrol key 1\0000000000000000000"u8);
        byte[] message = [.. "kitmesh enrol device 1\0"u8, .. pin.ToArray(), .. System.Security.Cryptography.SHA256.HashData("request"u8)];

        Assert.Equal(System.Security.Cryptography.HMACSHA256.HashData(key, message), EnrolProof.OfDevice(code, pin, "request"u8));
    }
}
