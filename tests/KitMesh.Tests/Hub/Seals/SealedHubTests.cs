using Google.Protobuf;
using Grpc.Net.Client;
using KitMesh.Agent.Identity;
using KitMesh.Domain;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Footage.Ledger;
using KitMesh.Hub.Enrolment;
using KitMesh.Protocol.Certificates;
using KitMesh.Protocol.Exchange;
using KitMesh.Sync.Journal;
using KitMesh.TestKit.Devices;
using KitMesh.TestKit.Enrolment;
using KitMesh.TestKit.Sync;
using NodaTime;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Tests.Hub.Seals;

/// <summary>Seals over real TLS: a hub that forges what it passes on, stations that sign, and who is believed where.</summary>
public sealed class SealedHubTests : IDisposable
{
    private static readonly KitId Card = KitId.Parse("card 7");
    private static readonly KitId Visit = KitId.Parse("visit 1");
    private static readonly ClipHash Clip = new(7);
    private readonly TemporaryFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    [Fact]
    public async Task ForgingRelay_AltersAndInvents_NothingOfItIsProofAndTheAlertNamesTheOrigin()
    {
        await using JoinableHub first = await JoinableHub.StartAsync();
        IdentityFolder station = await first.JoinAsync("ridge-station");
        (JoinableHub relay, HubIdentity identity) = await FurtherHubAsync(first);
        await using JoinableHub second = relay;
        using HubIdentity forger = identity;
        using SignedBy signed = Signed(station);
        var writer = new SealingWriter(new OriginId(NodeId.Parse("ridge-station"), 7), signed.Signer);
        Tell(writer, "drive A");
        writer.Seal();
        Tell(writer, "drive B");
        writer.Seal();

        // The relay passes on the first half as it is, alters the second, and adds a copy that was never made.
        List<RawReport> told = [.. writer.All];
        int altered = told.FindLastIndex(report => KitMesh.Protocol.Reports.ReportCodec.Decode(report).Body is CopyVerified);
        told[altered] = Forged(told[altered].Key, Copy("drive C"));
        told.Add(Forged(new ReportKey(writer.Origin, (ulong)told.Count + 1), Copy("drive D")));
        await PushAsync(forger, first, told);

        Assert.Equal(["drive A"], await ProvenAsync(first));
        IReadOnlyList<KitMesh.Hub.Views.StandingAlert> alerts = await AlertsAsync(first);
        Assert.Contains("ridge-station", Assert.Single(alerts, alert => alert.Alert.Rule == "seals-do-not-fit").Alert.What, StringComparison.Ordinal);
        Assert.Equal((ulong)told.Count, first.Hub.Application.Core.Journal.Have(writer.Origin)!.Kept.Last);
    }

    [Fact]
    public async Task Relay_OfSealedReports_IsProofAtTheOtherHub()
    {
        await using JoinableHub first = await JoinableHub.StartAsync();
        IdentityFolder station = await first.JoinAsync("ridge-station");
        (JoinableHub relay, HubIdentity identity) = await FurtherHubAsync(first);
        await using JoinableHub second = relay;
        using HubIdentity honest = identity;
        using SignedBy signed = Signed(station);
        var writer = new SealingWriter(new OriginId(NodeId.Parse("ridge-station"), 7), signed.Signer);
        Tell(writer, "drive A");

        await PushAsync(honest, first, writer.All);
        Assert.Empty(await ProvenAsync(first));
        await PushAsync(honest, first, writer.Seal().All);

        Assert.Equal(["drive A"], await ProvenAsync(first));
    }

    [Fact]
    public async Task Station_ThatHandsOverItselfWithoutSealing_IsBelievedByThatHub()
    {
        await using JoinableHub hub = await JoinableHub.StartAsync();
        GrpcChannel channel = hub.Channel(await hub.JoinAsync("ridge-station"));
        var writer = new SealingWriter(new OriginId(NodeId.Parse("ridge-station"), 7));
        Tell(writer, "drive A");

        await new V1.MeshService.MeshServiceClient(channel).PushAsync(Request(writer.All), cancellationToken: Cancel);

        Assert.Equal(["drive A"], await ProvenAsync(hub));
        Assert.Equal(1, hub.Hub.Application.Core.View.Now.State.Counts[ReportKind.TakenDirectly]);
    }

    [Fact]
    public async Task Relay_ThatLetsInANameASecondTime_CannotSignForIt()
    {
        await using JoinableHub first = await JoinableHub.StartAsync();
        await first.JoinAsync("ridge-station");
        (JoinableHub relay, HubIdentity identity) = await FurtherHubAsync(first);
        await using JoinableHub second = relay;
        using HubIdentity forger = identity;

        // It may let in writers, and nobody keeps it from giving out a name that is taken.
        using var key = TripMaker.NewKey();
        using var certificate = forger.Issue(NodeId.Parse("ridge-station"), MeshRoles.Writer, new System.Security.Cryptography.X509Certificates.PublicKey(key), TripMaker.Now);
        var hub = new SealingWriter(new OriginId(NodeId.Parse("ridge-hub"), 99));
        hub.Write(new NodeEnrolled(NodeId.Parse("ridge-station"), ValueList.Create(certificate.RawDataMemory.Span), ValueList.Create(forger.IssuerBytes.Span)));
        var writer = new SealingWriter(new OriginId(NodeId.Parse("ridge-station"), 66), new KeySigner(key));
        Tell(writer, "drive A");
        await PushAsync(forger, first, hub.All);
        await PushAsync(forger, first, writer.Seal().All);

        Assert.Empty(await ProvenAsync(first));
        Assert.Contains(await AlertsAsync(first), alert => alert.Alert.Rule == "seals-do-not-fit");
    }

    [Fact]
    public async Task Hub_SealsWhatItDeclares_AndTheOtherHubKnowsItsKey()
    {
        await using JoinableHub first = await JoinableHub.StartAsync();
        (JoinableHub relay, HubIdentity identity) = await FurtherHubAsync(first);
        await using JoinableHub second = relay;
        using HubIdentity own = identity;
        IJournalWriter journal = second.Hub.Application.Core.Journal;
        await WhenAsync(second, () => second.Hub.Application.Core.View.Now.State.Counts.GetValueOrDefault(ReportKind.OriginSealed) > 0);
        ulong last = journal.Have(journal.Own)!.Ranges.PrefixEnd;

        await PushAsync(own, first, journal.Read(journal.Own, new KitMesh.Domain.Exchange.SequenceRange(1, last), 1 << 20).Reports);
        await first.Hub.Application.WhenCaughtUpAsync(Cancel);

        Assert.False(first.Hub.Application.Core.View.Seals.SealedOf(journal.Own).IsEmpty);
        Assert.Empty(first.Hub.Application.Core.View.Seals.Faults);
    }

    private static CancellationToken Cancel => TestContext.Current.CancellationToken;

    private static void Tell(SealingWriter writer, string drive)
    {
        if (writer.All.Count == 0)
        {
            writer.Write(new CardSeen(Card, Visit, null, new ByteCount(100), new ByteCount(10), 1));
            writer.Write(new ClipFound(Clip, Card, Visit, "a.mov", new ByteCount(10), null, null, null, null));
        }

        writer.Write(Copy(drive));
    }

    private static CopyVerified Copy(string drive) => new(Clip, KitId.Parse(drive), "a.mov", new ByteCount(10), ReadBackLevel.Direct, false);

    private static RawReport Forged(ReportKey key, ReportBody body) => SealingWriter.Encode(key, body, TripMaker.Now + Duration.FromMinutes(5));

    private static SignedBy Signed(IdentityFolder folder) =>
        folder.TryLoad(out NodeIdentity? identity, out string? why) ? new SignedBy(identity) : throw new InvalidOperationException(why);

    private async Task<(JoinableHub Hub, HubIdentity Identity)> FurtherHubAsync(JoinableHub first)
    {
        (EnrolCode code, Sha256Hash pin) = await first.MintAsync("ridge-hub", "hub");
        var enrolled = Assert.IsType<EnrolOutcome.Enrolled>(await first.EnrolAsync(code, pin));
        var folder = new HubIdentityFolder(_folder.At("ridge"));
        folder.SaveIssuer(enrolled.Root, enrolled.Certificate, enrolled.Key);
        JoinableHub second = await JoinableHub.StartAsync(_folder.At("ridge"), change: options => options with { Node = NodeId.Parse("ridge-hub") });
        return (second, HubIdentity.Open(folder, NodeId.Parse("ridge-hub"), [System.Net.IPAddress.Loopback], TripMaker.Now));
    }

    private static V1.PushRequest Request(IReadOnlyList<RawReport> reports)
    {
        var request = new V1.PushRequest { Origin = OriginCodec.Write(reports[0].Key.Origin), FirstSequence = reports[0].Key.Sequence };
        request.Encoded.AddRange(reports.Select(report => ByteString.CopyFrom(report.Bytes.Span)));
        return request;
    }

    /// <summary>Hands over as a hub does, with a hub's certificate.</summary>
    private static async Task PushAsync(HubIdentity from, JoinableHub to, IReadOnlyList<RawReport> reports)
    {
        using SocketsHttpHandler handler = from.Self.CreateHandler();
        using GrpcChannel channel = GrpcChannel.ForAddress(to.Address, new GrpcChannelOptions { HttpHandler = handler });
        await new V1.MeshService.MeshServiceClient(channel).PushAsync(Request(reports), cancellationToken: Cancel);
    }

    private static async Task<IReadOnlyList<string>> ProvenAsync(JoinableHub hub)
    {
        await hub.Hub.Application.WhenCaughtUpAsync(Cancel);
        LedgerSnapshot ledger = hub.Hub.Application.Core.View.LedgerAt(TripMaker.Now + Duration.FromHours(1));
        return [.. ledger.View(LedgerQuery.All).Clips.SelectMany(clip => clip.Copies).Where(copy => copy.Standing == CopyStanding.Proven).Select(copy => copy.Drive.Value)];
    }

    private static async Task<IReadOnlyList<KitMesh.Hub.Views.StandingAlert>> AlertsAsync(JoinableHub hub)
    {
        await hub.Hub.Application.WhenCaughtUpAsync(Cancel);
        return await hub.Hub.Application.Alerts.StandingAsync(Cancel);
    }

    private static async Task WhenAsync(JoinableHub hub, Func<bool> holds)
    {
        while (!holds())
        {
            Task changed = hub.Hub.Application.Core.View.WhenChangedAsync(Cancel);
            if (holds())
            {
                return;
            }

            await changed.WaitAsync(TimeSpan.FromSeconds(60), Cancel);
        }
    }

    private sealed class SignedBy(NodeIdentity identity) : IDisposable
    {
        public ISealSigner Signer { get; } = new CertificateSigner(() => identity);

        public void Dispose() => identity.Dispose();
    }

    private sealed class KeySigner(System.Security.Cryptography.ECDsa key) : ISealSigner
    {
        public byte[] Sign(ReadOnlySpan<byte> message) =>
            key.SignData(message, System.Security.Cryptography.HashAlgorithmName.SHA256, System.Security.Cryptography.DSASignatureFormat.IeeeP1363FixedFieldConcatenation);
    }
}
