using System.Net;
using KitMesh.Domain.Reports;
using KitMesh.Hub.Enrolment;
using KitMesh.Protocol.Certificates;
using Microsoft.Extensions.Time.Testing;

namespace KitMesh.Tests.Hub.Enrolment;

public sealed class CodeBookTests
{
    private static readonly NodeId Node = NodeId.Parse("ridge-power");
    private static readonly Sha256Hash Pin = Sha256Hash.Of("pin"u8);
    private readonly FakeTimeProvider _machine = new();
    private readonly CodeBook _book;

    public CodeBookTests() => _book = new CodeBook(_machine);

    [Fact]
    public void Redeem_RightProof_OnceForOneRequest()
    {
        EnrolCode code = Mint();

        CodeBook.Use? first = Redeem(code, 1);
        first!.Keep([7]);

        Assert.Equal(Node, first.Node);
        Assert.Equal(MeshRoles.Writer, first.Roles);
        Assert.Equal([7], Redeem(code, 1)!.Certificate!);
        Assert.Null(Redeem(code, 2));
        Assert.Empty(_book.Waiting);
    }

    [Fact]
    public void Redeem_AfterItsTime_IsWorthless()
    {
        EnrolCode code = Mint(TimeSpan.FromMinutes(10));
        _machine.Advance(TimeSpan.FromMinutes(10) - TimeSpan.FromSeconds(1));
        Assert.Equal([Node], _book.Waiting);

        _machine.Advance(TimeSpan.FromSeconds(1));

        Assert.Null(Redeem(code, 1));
        Assert.Empty(_book.Waiting);
    }

    [Fact]
    public void Redeem_FiveWrongProofs_EndTheCode()
    {
        EnrolCode code = Mint();
        for (int i = 0; i < CodeBook.MaxWrong - 1; i++)
        {
            Assert.Null(_book.Redeem(code.Name, new byte[EnrolProof.Size], Expected(1), Request(1)));
        }

        EnrolCode second = _book.Mint(NodeId.Parse("other"), MeshRoles.Writer, TimeSpan.FromMinutes(10))!;
        Assert.NotNull(Redeem(second, 1));
        Assert.Null(_book.Redeem(code.Name, new byte[EnrolProof.Size], Expected(1), Request(1)));
        Assert.Null(Redeem(code, 1));
    }

    [Fact]
    public void Redeem_Released_MayBeUsedAgain()
    {
        EnrolCode code = Mint();

        Redeem(code, 1)!.Release();

        Assert.NotNull(Redeem(code, 2));
    }

    [Fact]
    public void Redeem_UnknownName_GivesNothing() => Assert.Null(_book.Redeem("XYZ", new byte[EnrolProof.Size], Expected(1), Request(1)));

    [Fact]
    public void Mint_AgainForTheNode_EndsTheFirstCode()
    {
        EnrolCode first = Mint();
        EnrolCode second = Mint();

        Assert.Null(Redeem(first, 1));
        Assert.NotNull(Redeem(second, 1));
    }

    [Fact]
    public void Mint_TooManyWaiting_GivesNone()
    {
        for (int i = 0; i < CodeBook.MaxWaiting; i++)
        {
            Assert.NotNull(_book.Mint(NodeId.Parse($"node-{i}"), MeshRoles.Writer, TimeSpan.FromMinutes(10)));
        }

        Assert.Null(_book.Mint(Node, MeshRoles.Writer, TimeSpan.FromMinutes(10)));
        _machine.Advance(TimeSpan.FromMinutes(11));
        Assert.NotNull(_book.Mint(Node, MeshRoles.Writer, TimeSpan.FromMinutes(10)));
    }

    [Fact]
    public void Attempts_FromOneAddress_AreBoundedAndComeBack()
    {
        var limit = new AttemptLimit(_machine);
        IPAddress one = IPAddress.Parse("10.0.0.7");

        Assert.Equal(10, Enumerable.Range(0, 50).Count(_ => limit.TryTake(one)));
        Assert.True(limit.TryTake(IPAddress.Parse("10.0.0.8")));
        _machine.Advance(TimeSpan.FromSeconds(10));
        Assert.True(limit.TryTake(one));
        Assert.False(limit.TryTake(one));
    }

    [Fact]
    public void Attempts_FromManyAddresses_AreBoundedTogether()
    {
        var limit = new AttemptLimit(_machine);

        int taken = Enumerable.Range(0, 5_000).Count(i => limit.TryTake(new IPAddress([10, 1, (byte)(i / 256), (byte)i])));

        Assert.Equal(60, taken);
    }

    private EnrolCode Mint(TimeSpan? life = null) => _book.Mint(Node, MeshRoles.Writer, life ?? TimeSpan.FromMinutes(10))!;

    private CodeBook.Use? Redeem(EnrolCode code, byte request) =>
        _book.Redeem(code.Name, EnrolProof.OfDevice(code, Pin, [request]), Expected(request), Request(request));

    private static Func<EnrolCode, byte[]> Expected(byte request) => code => EnrolProof.OfDevice(code, Pin, [request]);

    private static Sha256Hash Request(byte request) => Sha256Hash.Of([request]);
}
