using Grpc.Core;
using Grpc.Health.V1;
using Grpc.Net.Client;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Hub;
using KitMesh.Protocol.Exchange;
using KitMesh.Protocol.Reports;
using KitMesh.Storage;
using KitMesh.TestKit.Hub;
using KitMesh.TestKit.Storage;
using NodaTime;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Tests.Hub;

/// <summary>A whole hub: real sockets, real journal, real store.</summary>
public sealed class HubApplicationTests : IDisposable
{
    private static readonly Instant Now = Instant.FromUtc(2027, 2, 14, 18, 0);
    private readonly DirectoryInfo _root = Directory.CreateTempSubdirectory("kitmesh-hub-tests-");
    private readonly ReportMaker _ridge = new("ridge-agent", 0xFEDC_BA98_7654_3210);

    public void Dispose() => _root.Delete(recursive: true);

    [Fact]
    public async Task Push_Reports_DurableAndAnswered()
    {
        await using TestHub hub = await TestHub.StartAsync();
        using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address);

        V1.PushResponse first = await PushAsync(channel, 1, Reading(1, 13.1), Reading(2, 13.0));
        V1.PushResponse again = await PushAsync(channel, 1, Reading(1, 13.1), Reading(2, 13.0));

        Assert.Equal(2u, first.Added);
        Assert.Equal(0u, again.Added);
        Assert.Equal(new V1.SequenceRange { First = 1, Last = 2 }, Assert.Single(again.Durable.Ranges));
        Assert.Empty(again.Remarks);
        V1.GetReportsResponse reports = await ReportsAsync(channel, new V1.GetReportsRequest { Subject = "ridge bank" });
        Assert.Equal([2UL, 1UL], reports.Reports.Select(report => report.Sequence));
        Assert.All(reports.Reports, report => Assert.Equal("BatteryReading", report.Kind));
        V1.GetStatusResponse status = await new V1.OutlookService.OutlookServiceClient(channel).GetStatusAsync(new V1.GetStatusRequest(), cancellationToken: Cancel);
        Assert.Equal(2UL, status.Kinds.Single(kind => kind.Kind == "BatteryReading").Count);
    }

    [Fact]
    public async Task Push_ThenAsk_TheAnswerHoldsWhatWasPushed()
    {
        await using TestHub hub = await TestHub.StartAsync();
        using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address);
        var asking = new V1.OutlookService.OutlookServiceClient(channel);

        for (ulong sequence = 1; sequence <= 30; sequence++)
        {
            await PushAsync(channel, sequence, Reading(sequence, 13.1));

            V1.GetReportsResponse reports = await ReportsAsync(channel, new V1.GetReportsRequest { Subject = "ridge bank" });
            V1.GetStatusResponse status = await asking.GetStatusAsync(new V1.GetStatusRequest(), cancellationToken: Cancel);

            Assert.Equal(sequence, (ulong)reports.Reports.Count);
            Assert.Equal(sequence, status.Kinds.Single(kind => kind.Kind == "BatteryReading").Count);
        }
    }

    [Fact]
    public async Task Push_OddReports_KeptWithRemarks()
    {
        await using TestHub hub = await TestHub.StartAsync();
        using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address);
        var dead = Reading(1, 13.1, Instant.FromUtc(1970, 1, 1, 0, 1));
        var future = Reading(2, 13.1, Instant.FromUtc(2099, 6, 1, 0, 0));
        var noNumber = Reading(3, double.NaN);

        V1.PushResponse answer = await PushAsync(channel, 1, dead, future, noNumber, Convert.FromHexString("FA0F0401020304"), "not a report"u8.ToArray());
        V1.PushResponse fork = await PushAsync(channel, 1, Reading(1, 12.9, Instant.FromUtc(1970, 1, 1, 0, 1)));

        Assert.Equal(5u, answer.Added);
        Assert.Equal(5, answer.Remarks.Count);
        Assert.All(answer.Remarks, remark => Assert.Contains("kept", remark, StringComparison.Ordinal));
        Assert.Contains("both are kept", fork.Remarks[0], StringComparison.Ordinal);
        V1.GetReportsResponse odd = await ReportsAsync(channel, new V1.GetReportsRequest { OddOnly = true, Node = "ridge-agent" });
        Assert.Equal(6, odd.Reports.Count);
        Assert.Contains(odd.Reports, report => report.Kind == "Unknown" && report.Odd.Contains("kind", StringComparison.Ordinal));
        IReadOnlyList<V1.AlertLine> alerts = (await new V1.OutlookService.OutlookServiceClient(channel).GetAlertsAsync(new V1.GetAlertsRequest(), cancellationToken: Cancel)).Alerts;
        Assert.Contains(alerts, alert => alert.Subject.Contains("ridge-agent", StringComparison.Ordinal) && alert.Do.Length > 0);
    }

    [Theory]
    [InlineData("", 1UL, "origin")]
    [InlineData("Not A Node", 1UL, "origin")]
    [InlineData("base-camp", 1UL, "origin.node")]
    [InlineData("ridge-agent", 0UL, "first_sequence")]
    public async Task Push_WrongRequest_RichStatusNamesTheField(string node, ulong first, string field)
    {
        await using TestHub hub = await TestHub.StartAsync();
        using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address);
        var request = new V1.PushRequest { Origin = new V1.Origin { Node = node, Epoch = 7 }, FirstSequence = first, Encoded = { Google.Protobuf.ByteString.CopyFrom(Reading(1, 13)) } };

        RpcException refused = await Assert.ThrowsAsync<RpcException>(async () => await new V1.MeshService.MeshServiceClient(channel).PushAsync(request, cancellationToken: Cancel));

        Assert.Equal(StatusCode.InvalidArgument, refused.StatusCode);
        var violation = refused.GetRpcStatus()!.GetDetail<Google.Rpc.BadRequest>()!.FieldViolations.Single();
        Assert.Equal(field, violation.Field);
    }

    [Fact]
    public async Task Push_ReportOverTheLimit_RefusedWhole()
    {
        await using TestHub hub = await TestHub.StartAsync(change: options => options with { MaxReportBytes = 1_024 });
        using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address);
        byte[] long1 = ReportCodec.Encode(_ridge.Note(2, Now, new string('x', 2_000)).Timed.Report);

        RpcException refused = await Assert.ThrowsAsync<RpcException>(() => PushAsync(channel, 1, Reading(1, 13), long1));

        Assert.Equal(StatusCode.InvalidArgument, refused.StatusCode);
        Assert.Contains("Nothing of this push was kept", refused.Status.Detail, StringComparison.Ordinal);
        Assert.Null(hub.Application.Core.Journal.Have(_ridge.Origin));
    }

    [Fact]
    public async Task Push_MessageOverTheLimit_Refused()
    {
        await using TestHub hub = await TestHub.StartAsync(change: options => options with { MaxMessageBytes = 65_536 });
        using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address);
        byte[] big = ReportCodec.Encode(_ridge.Note(1, Now, new string('x', 40_000)).Timed.Report);

        RpcException refused = await Assert.ThrowsAsync<RpcException>(() => PushAsync(channel, 1, big, big));

        Assert.Equal(StatusCode.ResourceExhausted, refused.StatusCode);
    }

    [Fact]
    public async Task Json_PushAndRead_SameAnswers()
    {
        await using TestHub hub = await TestHub.StartAsync();
        using var http = new HttpClient { BaseAddress = hub.Address };
        using var body = new StringContent(
            """
            {"origin":{"node":"typed-page","epoch":"18364758544493064720"},"firstSequence":"1","reports":[
              {"wallUnixNanos":"1802628000000000000","boot":"5","monotonicNanos":"1000","note":{"author":"the lead","text":"wind from the west"}}]}
            """,
            System.Text.Encoding.UTF8,
            "application/json");

        HttpResponseMessage pushed = await http.PostAsync(new Uri("/v1/push", UriKind.Relative), body, Cancel);

        Assert.True(pushed.IsSuccessStatusCode, await pushed.Content.ReadAsStringAsync(Cancel));
        Assert.Contains("\"epoch\":\"18364758544493064720\"", (await pushed.Content.ReadAsStringAsync(Cancel)).Replace(" ", "", StringComparison.Ordinal), StringComparison.Ordinal);
        string reports = await http.GetStringAsync(new Uri("/v1/reports?kinds=Note", UriKind.Relative), Cancel);
        Assert.Contains("wind from the west", reports, StringComparison.Ordinal);
        HttpResponseMessage wrong = await http.GetAsync(new Uri("/v1/reports?kinds=Nonsense", UriKind.Relative), Cancel);
        Assert.Equal(System.Net.HttpStatusCode.BadRequest, wrong.StatusCode);
        Assert.Contains("There is no kind", await wrong.Content.ReadAsStringAsync(Cancel), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Health_RunningHub_Serving()
    {
        await using TestHub hub = await TestHub.StartAsync();
        using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address);

        HealthCheckResponse health = await new Health.HealthClient(channel).CheckAsync(new HealthCheckRequest(), cancellationToken: Cancel);

        Assert.Equal(HealthCheckResponse.Types.ServingStatus.Serving, health.Status);
    }

    [Fact]
    public async Task Start_AfterCrash_StoreIsRefilledAndTheFingerprintIsTheSame()
    {
        string folder = _root.CreateSubdirectory("crash").FullName;
        string before;
        await using (TestHub hub = await TestHub.StartAsync(folder))
        {
            using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address);
            await PushAsync(channel, 1, [.. Enumerable.Range(1, 50).Select(i => Reading((ulong)i, 12 + (i * 0.01)))]);
            before = await FingerprintAsync(channel);
        }

        File.Delete(Path.Combine(folder, "store", "clean"));
        await using TestHub again = await TestHub.StartAsync(folder);
        using GrpcChannel second = GrpcChannel.ForAddress(again.Address);

        V1.GetReportsResponse reports = await ReportsAsync(second, new V1.GetReportsRequest { Kinds = { "BatteryReading" }, PageSize = 1_000 });
        Assert.Equal(50, reports.Reports.Count);
        Assert.Equal(StoreOpeningState.Discarded, again.Application.Core.Keeper.Store.Opening.State);
        V1.GetStatusResponse status = await new V1.OutlookService.OutlookServiceClient(second).GetStatusAsync(new V1.GetStatusRequest(), cancellationToken: Cancel);
        Assert.Equal(50UL, status.Kinds.Single(kind => kind.Kind == "BatteryReading").Count);
        Assert.NotEmpty(before);
    }

    [Fact]
    public async Task Start_FolderInUse_SaysWhoHoldsIt()
    {
        await using TestHub hub = await TestHub.StartAsync();

        HubStartException refused = await Assert.ThrowsAsync<HubStartException>(() => TestHub.StartAsync(hub.Folder));

        Assert.Contains("in use", refused.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Start_NonLoopbackAddress_Refused()
    {
        HubOptionsException refused = await Assert.ThrowsAsync<HubOptionsException>(
            () => TestHub.StartAsync(_root.FullName, options => options with { Listen = new Uri("http://0.0.0.0:0") }));

        Assert.Contains("strangers", refused.Message, StringComparison.Ordinal);
    }

    private static CancellationToken Cancel => TestContext.Current.CancellationToken;

    private byte[] Reading(ulong sequence, double volts, Instant? at = null) =>
        ReportCodec.Encode(_ridge.Battery(sequence, at ?? (Now + Duration.FromSeconds((long)sequence)), volts).Timed.Report);

    private async Task<V1.PushResponse> PushAsync(GrpcChannel channel, ulong first, params byte[][] reports)
    {
        var request = new V1.PushRequest { Origin = OriginCodec.Write(_ridge.Origin), FirstSequence = first };
        request.Encoded.AddRange(reports.Select(report => Google.Protobuf.ByteString.CopyFrom(report)));
        return await new V1.MeshService.MeshServiceClient(channel).PushAsync(request, cancellationToken: Cancel);
    }

    private static async Task<V1.GetReportsResponse> ReportsAsync(GrpcChannel channel, V1.GetReportsRequest request) =>
        await new V1.OutlookService.OutlookServiceClient(channel).GetReportsAsync(request, cancellationToken: Cancel);

    private static async Task<string> FingerprintAsync(GrpcChannel channel) =>
        (await new V1.OutlookService.OutlookServiceClient(channel).GetStatusAsync(new V1.GetStatusRequest(), cancellationToken: Cancel)).StateFingerprint;
}
