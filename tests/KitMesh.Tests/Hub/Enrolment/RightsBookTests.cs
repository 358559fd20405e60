using System.Collections.Immutable;
using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using CsCheck;
using KitMesh.Domain;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using KitMesh.Hub.Enrolment;
using KitMesh.Protocol.Certificates;
using KitMesh.TestKit.Enrolment;

namespace KitMesh.Tests.Hub.Enrolment;

/// <summary>Whose word counts, whatever the order in which hubs hear of it.</summary>
public sealed class RightsBookTests : IDisposable
{
    private static readonly NodeId Self = NodeId.Parse("base-camp");
    private static readonly NodeId Stolen = NodeId.Parse("ridge-station");
    private readonly TripMaker _trip = new();

    public void Dispose() => _trip.Dispose();

    [Fact]
    public void MayProve_AfterARevocation_UpToTheLastValidSequence()
    {
        RightsBook book = Book(Revoke(Self, 1, Stolen, (5, 118)));

        Assert.True(book.MayProve(Key(Stolen, 5, 118)));
        Assert.False(book.MayProve(Key(Stolen, 5, 119)));
        Assert.False(book.MayProve(Key(Stolen, 6, 1)));
        Assert.True(book.MayProve(Key(NodeId.Parse("hide-station"), 5, 119)));
    }

    [Fact]
    public void MayProve_SeveralRevocations_TheLeastOfEachOriginCounts()
    {
        Report hub = Enrolled("ridge-hub", MeshRoles.Hub);
        RightsBook book = Book(Revoke(Self, 1, Stolen, (5, 118), (6, 3)), hub, Revoke(NodeId.Parse("ridge-hub"), 9, Stolen, (5, 90)));

        Assert.True(book.MayProve(Key(Stolen, 5, 90)));
        Assert.False(book.MayProve(Key(Stolen, 5, 91)));
        Assert.False(book.MayProve(Key(Stolen, 6, 1)));
    }

    [Fact]
    public void Revocation_CrowdedByAWriterWithoutTheRight_CountsAllTheSame()
    {
        NodeId nuisance = NodeId.Parse("nuisance");
        RightsBook book = Book(Enrolled("nuisance", MeshRoles.Writer), Enrolled("lead-phone", MeshRoles.Keeper));
        for (ulong i = 1; i <= 20_000; i++)
        {
            book.Add(Revoke(nuisance, i, NodeId.Parse($"node-{i}")));
        }

        book.Add(Revoke(NodeId.Parse("lead-phone"), 1, Stolen));

        Assert.Equal([Stolen], book.Revoked.Keys);
    }

    [Theory]
    [InlineData(MeshRoles.Writer, false)]
    [InlineData(MeshRoles.Reader, false)]
    [InlineData(MeshRoles.Keeper, true)]
    [InlineData(MeshRoles.Hub, true)]
    public void Revocation_ByANode_CountsByItsRole(MeshRoles roles, bool counts)
    {
        RightsBook book = Book(Enrolled("somebody", roles), Revoke(NodeId.Parse("somebody"), 3, Stolen));

        Assert.Equal(!counts, book.MayProve(Key(Stolen, 5, 1)));
        Assert.Equal(counts, book.Revoked.ContainsKey(Stolen));
    }

    [Fact]
    public void Revocation_ByAStranger_WaitsForItsCertificate()
    {
        RightsBook book = Book(Revoke(NodeId.Parse("ridge-hub"), 3, Stolen));
        Assert.True(book.MayProve(Key(Stolen, 5, 1)));

        book.Add(Enrolled("ridge-hub", MeshRoles.Hub));

        Assert.False(book.MayProve(Key(Stolen, 5, 1)));
    }

    [Fact]
    public void Enrolment_OfAnotherTripOrOtherName_SaysNothing()
    {
        using var other = new TripMaker();
        using X509Certificate2 foreign = other.Node("ridge-hub", MeshRoles.Hub);
        using X509Certificate2 named = _trip.Node("ridge-hub", MeshRoles.Hub);
        RightsBook book = Book(
            Make(Self, 1, new NodeEnrolled(NodeId.Parse("ridge-hub"), ValueList.Create(foreign.RawDataMemory.Span), [])),
            Make(Self, 2, new NodeEnrolled(NodeId.Parse("hide-hub"), ValueList.Create(named.RawDataMemory.Span), [])),
            Make(Self, 3, new NodeEnrolled(NodeId.Parse("ridge-hub"), [0x30, 0x80, 1], [2])),
            Make(Self, 4, new NodeEnrolled(NodeId.Parse("ridge-hub"), ValueList.Create(new byte[CertificateProfile.MaxBytes + 1]), [])));

        Assert.Empty(book.Members);
    }

    [Fact]
    public void MayRelease_ByRole_KeepersAndHubsOnly()
    {
        RightsBook book = Book(Enrolled("lead-phone", MeshRoles.Keeper), Enrolled("ridge-power", MeshRoles.Writer | MeshRoles.Reader), Enrolled("ridge-hub", MeshRoles.Hub));

        Assert.True(book.MayRelease(Key(NodeId.Parse("lead-phone"), 1, 1)));
        Assert.True(book.MayRelease(Key(NodeId.Parse("ridge-hub"), 1, 1)));
        Assert.True(book.MayRelease(Key(Self, 1, 1)));
        Assert.False(book.MayRelease(Key(NodeId.Parse("ridge-power"), 1, 1)));
        Assert.False(book.MayRelease(Key(NodeId.Parse("nobody-heard-of"), 1, 1)));
    }

    [Fact]
    public void MayRelease_OnAHubThatAsksNobody_EverybodyButTheRevoked()
    {
        var book = new RightsBook(Self, null);
        book.Add(Revoke(NodeId.Parse("anybody"), 1, Stolen, (5, 2)));

        Assert.True(book.MayRelease(Key(NodeId.Parse("somebody"), 1, 1)));
        Assert.True(book.MayRelease(Key(Stolen, 5, 2)));
        Assert.False(book.MayRelease(Key(Stolen, 5, 3)));
    }

    [Fact]
    public void MayProve_ForkBelowTheLastValidSequence_OfARevokedNodeOnly()
    {
        RightsBook book = Book(Revoke(Self, 1, Stolen, (5, 118)));
        NodeId honest = NodeId.Parse("hide-station");
        book.Forks = () => ImmutableSortedDictionary<ReportKey, ImmutableSortedSet<UInt128>>.Empty
            .Add(Key(Stolen, 5, 7), [UInt128.One, UInt128.Zero])
            .Add(Key(honest, 5, 7), [UInt128.One, UInt128.Zero]);

        Assert.False(book.MayProve(Key(Stolen, 5, 7)));
        Assert.True(book.MayProve(Key(Stolen, 5, 8)));
        Assert.True(book.MayProve(Key(honest, 5, 7)));
    }

    [Fact]
    public void Add_AnyOrderAndTwice_GivesTheSame()
    {
        Report[] reports =
        [
            Enrolled("ridge-hub", MeshRoles.Hub),
            Enrolled("lead-phone", MeshRoles.Keeper),
            Enrolled("ridge-station", MeshRoles.Writer),
            Revoke(Self, 5, Stolen, (5, 100), (6, 4)),
            Revoke(NodeId.Parse("ridge-hub"), 6, Stolen, (5, 80), (6, 9)),
            Revoke(NodeId.Parse("lead-phone"), 7, NodeId.Parse("ridge-hub"), (1, 6)),
            Revoke(NodeId.Parse("ridge-station"), 8, Self),
        ];
        string expected = Picture(Book(reports));

        Gen.Shuffle(reports).Sample(order => Assert.Equal(expected, Picture(Book([.. order, .. order.Take(3)]))), iter: 200);
        Assert.DoesNotContain(expected.Split('\n'), line => line.StartsWith("base-camp:", StringComparison.Ordinal));
    }

    [Fact]
    public void Add_CertificateWithAnyByteChanged_SaysNothingAndNeverThrows()
    {
        using X509Certificate2 good = _trip.Node("lead-phone", MeshRoles.Keeper);
        byte[] bytes = good.RawData;

        Gen.Select(Gen.Int[0, bytes.Length - 1], Gen.Byte[1, 255], Gen.Int[0, bytes.Length]).Sample(
            (at, change, length) =>
            {
                byte[] changed = [.. bytes];
                changed[at] ^= change;
                RightsBook book = Book(
                    Make(Self, 1, new NodeEnrolled(NodeId.Parse("lead-phone"), ValueList.Create<byte>(changed), [])),
                    Make(Self, 2, new NodeEnrolled(NodeId.Parse("lead-phone"), ValueList.Create<byte>(bytes.AsSpan(0, Math.Min(length, bytes.Length - 1))), ValueList.Create<byte>(changed))));
                Assert.Empty(book.Members);
            },
            iter: 500);
        Assert.Single(Book(Make(Self, 1, new NodeEnrolled(NodeId.Parse("lead-phone"), ValueList.Create<byte>(bytes), []))).Members);
    }

    private static string Picture(RightsBook book) => string.Join(
        "\n",
        book.Revoked.Select(node => $"{node.Key}: {string.Join(",", node.Value.LastValid.OrderBy(last => last.Key))} {node.Value.Words}")
            .Concat(book.Members.Values.Select(member => $"{member.Node} {member.Roles}")));

    private RightsBook Book(params Report[] reports)
    {
        var book = new RightsBook(Self, _trip.Trust);
        foreach (Report report in reports)
        {
            book.Add(report);
        }

        return book;
    }

    private Report Enrolled(string node, MeshRoles roles)
    {
        using ECDsa key = TripMaker.NewKey();
        using X509Certificate2 certificate = roles == MeshRoles.Hub ? _trip.Issuer(node, key) : _trip.Node(node, roles, key);
        return Make(Self, 1, new NodeEnrolled(NodeId.Parse(node), ValueList.Create(certificate.RawDataMemory.Span), []));
    }

    private static Report Revoke(NodeId by, ulong sequence, NodeId node, params (ulong Epoch, ulong Last)[] origins) =>
        Make(by, sequence, new NodeRevoked(node, origins.Select(origin => new LastValidReport(origin.Epoch, origin.Last)).ToValueList(), by.Value, "lost"));

    private static Report Make(NodeId by, ulong sequence, ReportBody body) => new(Key(by, 1, sequence), default, new DeviceTime(TripMaker.Now, new BootId(1), 1), body);

    private static ReportKey Key(NodeId node, ulong epoch, ulong sequence) => new(new OriginId(node, epoch), sequence);
}
