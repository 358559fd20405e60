using System.Collections.Concurrent;
using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using Google.Protobuf;
using Grpc.Core;
using KitMesh.Agent.Identity;
using KitMesh.Domain.Reports;
using KitMesh.Hub;
using KitMesh.Hub.Enrolment;
using KitMesh.Protocol.Certificates;
using KitMesh.TestKit.Devices;
using KitMesh.TestKit.Enrolment;
using Microsoft.Extensions.Logging;
using NodaTime;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Tests.Hub.Enrolment;

/// <summary>Joining, over real sockets and TLS.</summary>
public sealed class EnrolmentTests : IDisposable
{
    private readonly TemporaryFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    [Fact]
    public async Task Enrol_CodeAndPin_GivesTheNodeOfTheCode()
    {
        await using JoinableHub hub = await JoinableHub.StartAsync();
        (EnrolCode code, Sha256Hash pin) = await hub.MintAsync("ridge-power", "writer reader");

        var enrolled = Assert.IsType<EnrolOutcome.Enrolled>(await hub.EnrolAsync(code, pin));

        Assert.Equal(NodeId.Parse("ridge-power"), enrolled.Member.Node);
        Assert.Equal(MeshRoles.Writer | MeshRoles.Reader, enrolled.Member.Roles);
        V1.EnrolledNode listed = (await hub.Owner.ListNodesAsync(new V1.ListNodesRequest(), cancellationToken: Cancel)).Nodes.Single(node => node.Node == "ridge-power");
        Assert.Equal(["writer", "reader"], listed.Roles);
        Assert.False(listed.Revoked);
    }

    [Fact]
    public async Task Enrol_TypedCodeWithoutPin_IsLetIn()
    {
        await using JoinableHub hub = await JoinableHub.StartAsync();
        (EnrolCode code, _) = await hub.MintAsync("ridge-power");

        Assert.IsType<EnrolOutcome.Enrolled>(await hub.EnrolAsync(code));
    }

    [Fact]
    public async Task Enrol_WrongPin_NothingIsSentAndTheCodeStaysGood()
    {
        await using JoinableHub hub = await JoinableHub.StartAsync();
        (EnrolCode code, Sha256Hash pin) = await hub.MintAsync("ridge-power");

        var refused = Assert.IsType<EnrolOutcome.Refused>(await hub.EnrolAsync(code, Sha256Hash.Of("another key"u8)));

        Assert.Contains("another key", refused.Words, StringComparison.Ordinal);
        Assert.IsType<EnrolOutcome.Enrolled>(await hub.EnrolAsync(code, pin));
    }

    [Fact]
    public async Task Enrol_CodeOfAnotherHub_NeitherSideGetsAnything()
    {
        await using JoinableHub hub = await JoinableHub.StartAsync();
        await using JoinableHub impostor = await JoinableHub.StartAsync();
        (EnrolCode code, _) = await hub.MintAsync("ridge-power");

        Assert.IsType<EnrolOutcome.Refused>(await impostor.EnrolAsync(code));
        Assert.Equal(["ridge-power"], (await hub.Owner.ListNodesAsync(new V1.ListNodesRequest(), cancellationToken: Cancel)).WaitingNodes);
    }

    [Fact]
    public async Task Enrol_ProofCaughtInBetween_IsWorthlessAtTheHub()
    {
        // Somebody in between shows a key of its own; the device's proof covers that key, so passing it on gets nothing.
        await using JoinableHub hub = await JoinableHub.StartAsync();
        (EnrolCode code, _) = await hub.MintAsync("ridge-power");
        byte[] request = Request();

        RpcException refused = await Assert.ThrowsAsync<RpcException>(() => AskAsync(hub, code.Name, EnrolProof.OfDevice(code, Sha256Hash.Of("key in between"u8), request), request));

        Assert.Equal(StatusCode.Unauthenticated, refused.StatusCode);
    }

    [Fact]
    public async Task Enrol_CodeUsedTwice_IsRefused()
    {
        await using JoinableHub hub = await JoinableHub.StartAsync();
        (EnrolCode code, Sha256Hash pin) = await hub.MintAsync("ridge-power");
        await hub.EnrolAsync(code, pin);

        var refused = Assert.IsType<EnrolOutcome.Refused>(await hub.EnrolAsync(code, pin));

        Assert.Contains("not valid", refused.Words, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Enrol_AnswerLostAndAskedAgain_GetsTheSameCertificate()
    {
        await using JoinableHub hub = await JoinableHub.StartAsync();
        (EnrolCode code, Sha256Hash pin) = await hub.MintAsync("ridge-power");
        byte[] request = Request();
        byte[] proof = EnrolProof.OfDevice(code, pin, request);

        V1.EnrolResponse first = await AskAsync(hub, code.Name, proof, request);
        V1.EnrolResponse again = await AskAsync(hub, code.Name, proof, request);

        Assert.Equal(first.Certificate, again.Certificate);
    }

    [Fact]
    public async Task Enrol_ManyWrongAttempts_AreSlowedDown()
    {
        await using JoinableHub hub = await JoinableHub.StartAsync();
        var seen = new List<StatusCode>();

        for (int i = 0; i < 12; i++)
        {
            seen.Add((await Assert.ThrowsAsync<RpcException>(() => AskAsync(hub, "ABC", new byte[EnrolProof.Size], [1]))).StatusCode);
        }

        Assert.Equal(StatusCode.Unauthenticated, seen[0]);
        Assert.Equal(StatusCode.ResourceExhausted, seen[^1]);
    }

    [Fact]
    public async Task Enrol_RequestThatIsNone_IsRefusedAndTheCodeStaysGood()
    {
        await using JoinableHub hub = await JoinableHub.StartAsync();
        (EnrolCode code, Sha256Hash pin) = await hub.MintAsync("ridge-power");
        using RSA rsa = RSA.Create(2_048);
        byte[] ofRsa = new CertificateRequest("CN=x", rsa, HashAlgorithmName.SHA256, RSASignaturePadding.Pkcs1).CreateSigningRequest();
        byte[] spoilt = Request();
        spoilt[^1] ^= 1;

        byte[] oddCurve = Request();
        ReadOnlySpan<byte> curve = [0x2A, 0x86, 0x48, 0xCE, 0x3D, 0x03, 0x01, 0x07];
        oddCurve[oddCurve.AsSpan().IndexOf(curve) + curve.Length - 1] = 0x3D;

        foreach (byte[] bad in (byte[][])[[1, 2, 3], ofRsa, spoilt, oddCurve, [.. Request(), 0]])
        {
            RpcException refused = await Assert.ThrowsAsync<RpcException>(() => AskAsync(hub, code.Name, EnrolProof.OfDevice(code, pin, bad), bad));
            Assert.Equal(StatusCode.InvalidArgument, refused.StatusCode);
        }

        Assert.IsType<EnrolOutcome.Enrolled>(await hub.EnrolAsync(code, pin));
    }

    [Theory]
    [InlineData("", "writer", 600, "node")]
    [InlineData("Not A Node", "writer", 600, "node")]
    [InlineData("base-camp", "writer", 600, "node")]
    [InlineData("ridge-power", "emperor", 600, "roles")]
    [InlineData("ridge-power", "writer", 5, "seconds")]
    [InlineData("ridge-power", "writer", 100_000, "seconds")]
    public async Task MintCode_WrongRequest_NamesTheField(string node, string role, uint seconds, string field)
    {
        await using JoinableHub hub = await JoinableHub.StartAsync();

        RpcException refused = await Assert.ThrowsAsync<RpcException>(async () =>
            await hub.Owner.MintCodeAsync(new V1.MintCodeRequest { Node = node, Roles = { role }, Seconds = seconds }, cancellationToken: Cancel));

        Assert.Equal(StatusCode.InvalidArgument, refused.StatusCode);
        Assert.Equal(field, refused.GetRpcStatus()!.GetDetail<Google.Rpc.BadRequest>()!.FieldViolations.Single().Field);
    }

    [Fact]
    public async Task Log_OfAWholeEnrolment_TellsNoSecret()
    {
        var lines = new ConcurrentQueue<string>();
        await using JoinableHub hub = await JoinableHub.StartAsync(logging: logging => logging.SetMinimumLevel(LogLevel.Trace).AddFilter("Microsoft", LogLevel.Trace).AddProvider(new Lines(lines)));
        (EnrolCode code, Sha256Hash pin) = await hub.MintAsync("ridge-power");
        await hub.EnrolAsync(code, pin);
        await hub.EnrolAsync(code, pin);

        string secret = code.Reveal();
        Assert.NotEmpty(lines);
        Assert.All(lines, line =>
        {
            Assert.DoesNotContain(secret, line, StringComparison.OrdinalIgnoreCase);
            Assert.DoesNotContain(secret.Replace("-", "", StringComparison.Ordinal), line, StringComparison.OrdinalIgnoreCase);
            Assert.DoesNotContain("PRIVATE KEY", line, StringComparison.Ordinal);
        });
    }

    [Fact]
    [System.Runtime.Versioning.UnsupportedOSPlatform("windows")]
    public async Task Files_OfHubAndDevice_AreTheOwnersOnly()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux() || OperatingSystem.IsMacOS(), "There are no Unix file modes here.");
        await using JoinableHub hub = await JoinableHub.StartAsync();
        IdentityFolder device = await hub.JoinAsync("ridge-power");
        var own = new HubIdentityFolder(hub.Hub.Folder);

        string[] files = [.. Directory.GetFiles(own.Location).Where(file => file != own.Socket), .. Directory.GetFiles(device.Path)];

        Assert.Contains(files, file => file.EndsWith("root.key", StringComparison.Ordinal));
        Assert.Contains(files, file => file.EndsWith("node.key", StringComparison.Ordinal));
        Assert.All(files, file => Assert.Equal(UnixFileMode.UserRead | UnixFileMode.UserWrite, File.GetUnixFileMode(file)));
        Assert.Equal(UnixFileMode.UserRead | UnixFileMode.UserWrite | UnixFileMode.UserExecute, File.GetUnixFileMode(own.Location));
        File.SetUnixFileMode(Path.Combine(device.Path, "node.key"), UnixFileMode.UserRead | UnixFileMode.UserWrite | UnixFileMode.GroupRead);
        Assert.False(device.TryLoad(out _, out string? why));
        Assert.Contains("chmod 600", why, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Start_Again_KeepsRootAndPinAndForgetsCodes()
    {
        string folder = _folder.At("hub");
        EnrolCode code;
        Sha256Hash pin;
        IdentityFolder device;
        await using (JoinableHub first = await JoinableHub.StartAsync(folder))
        {
            device = await first.JoinAsync("ridge-power", "reader");
            (code, pin) = await first.MintAsync("hide-recorder");
        }

        await using JoinableHub again = await JoinableHub.StartAsync(folder);

        Assert.IsType<EnrolOutcome.Refused>(await again.EnrolAsync(code, pin));
        await new V1.OutlookService.OutlookServiceClient(again.Channel(device)).GetStatusAsync(new V1.GetStatusRequest(), cancellationToken: Cancel);
        (EnrolCode fresh, Sha256Hash samePin) = await again.MintAsync("hide-recorder");
        Assert.Equal(pin, samePin);
        Assert.IsType<EnrolOutcome.Enrolled>(await again.EnrolAsync(fresh, pin));
    }

    [Fact]
    public async Task Restore_RootFromItsSpareCopy_OldCertificatesStayGoodAtTheNewHub()
    {
        IdentityFolder device;
        string spare = _folder.At("spare.pem");
        await using (JoinableHub lost = await JoinableHub.StartAsync(_folder.At("lost")))
        {
            device = await lost.JoinAsync("ridge-power", "reader");
            RootSpare.Write(new HubIdentityFolder(lost.Hub.Folder), spare, "five words from a book");
            Assert.Throws<HubStartException>(() => RootSpare.Write(new HubIdentityFolder(lost.Hub.Folder), spare, "five words from a book"));
        }

        var folder = new HubIdentityFolder(_folder.At("new"));
        Assert.Throws<HubStartException>(() => RootSpare.Restore(spare, "six words from a book", folder));
        Assert.False(folder.HasRoot);
        RootSpare.Restore(spare, "five words from a book", folder);
        await using JoinableHub hub = await JoinableHub.StartAsync(_folder.At("new"), change: options => options with { Node = NodeId.Parse("base-camp-2") });

        await new V1.OutlookService.OutlookServiceClient(hub.Channel(device)).GetStatusAsync(new V1.GetStatusRequest(), cancellationToken: Cancel);
        Assert.Throws<HubStartException>(() => RootSpare.Restore(spare, "five words from a book", folder));
    }

    [Fact]
    public async Task Start_WithADeadClock_StillLetsInAndIsDialled()
    {
        await using JoinableHub hub = await JoinableHub.StartAsync(now: Instant.FromUtc(1970, 1, 1, 0, 5));
        IdentityFolder device = await hub.JoinAsync("ridge-power", "reader");

        await new V1.OutlookService.OutlookServiceClient(hub.Channel(device)).GetStatusAsync(new V1.GetStatusRequest(), cancellationToken: Cancel);
    }

    private static CancellationToken Cancel => TestContext.Current.CancellationToken;

    private static byte[] Request()
    {
        using ECDsa key = TripMaker.NewKey();
        return new CertificateRequest("CN=kitmesh", key, HashAlgorithmName.SHA256).CreateSigningRequest();
    }

    private static async Task<V1.EnrolResponse> AskAsync(JoinableHub hub, string name, byte[] proof, byte[] request) =>
        await new V1.EnrolService.EnrolServiceClient(hub.StrangerChannel()).EnrolAsync(
            new V1.EnrolRequest { CodeName = name, Proof = ByteString.CopyFrom(proof), Request = ByteString.CopyFrom(request) },
            cancellationToken: Cancel);

    private sealed class Lines(ConcurrentQueue<string> lines) : ILoggerProvider, ILogger
    {
        public ILogger CreateLogger(string categoryName) => this;

        public IDisposable? BeginScope<TState>(TState state)
            where TState : notnull => null;

        public bool IsEnabled(LogLevel logLevel) => true;

        public void Log<TState>(LogLevel logLevel, EventId eventId, TState state, Exception? exception, Func<TState, Exception?, string> formatter) =>
            lines.Enqueue($"{formatter(state, exception)} {exception}");

        public void Dispose()
        {
        }
    }
}
