using Grpc.Net.Client;
using KitMesh.Sync.Journal;
using KitMesh.TestKit.Hub;
using KitMesh.TestKit.Storage;
using KitMesh.Tests.Architecture;
using NodaTime;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Tests.Hub.Views;

/// <summary>How old what base camp knows of each team is.</summary>
public sealed class TeamNewsTests
{
    private static readonly Instant Now = Instant.FromUtc(2027, 2, 21, 18, 0);

    [Fact]
    public async Task Status_TeamHeardFiveHoursAgo_SaysSoAndWhoWasHeard()
    {
        await using TestHub hub = await TestHub.StartAsync(change: options => options with { TripFile = SourceTree.PathTo("deploy", "trip.example.yaml") }, now: Now);
        using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address);
        var client = new V1.OutlookService.OutlookServiceClient(channel);
        V1.GetStatusResponse before = await client.GetStatusAsync(new V1.GetStatusRequest(), cancellationToken: Cancel);

        var maker = new ReportMaker("base-power", 9);
        Assert.IsType<AppendResult.Durable>(await hub.Application.Core.Intake.AppendAsync([maker.Temperature(1, Now, -10).Raw], Cancel));
        hub.World.Advance(Duration.FromHours(5));
        await hub.Application.WhenCaughtUpAsync(Cancel);
        V1.GetStatusResponse after = await client.GetStatusAsync(new V1.GetStatusRequest(), cancellationToken: Cancel);

        V1.TeamNews silent = before.Teams.Single(team => team.Team == "base team");
        V1.TeamNews heard = after.Teams.Single(team => team.Team == "base team");
        Assert.Equal("", silent.Node);
        Assert.Null(silent.LastHeard);
        Assert.Equal("base-power", heard.Node);
        Assert.Equal(5 * 3_600, heard.AgeSeconds);
    }

    private static CancellationToken Cancel => TestContext.Current.CancellationToken;
}
