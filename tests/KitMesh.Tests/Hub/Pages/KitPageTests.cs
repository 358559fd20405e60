using System.Net;
using Grpc.Net.Client;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Protocol.Kit;
using KitMesh.TestKit.Hub;
using NodaTime;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Tests.Hub.Pages;

/// <summary>The page "Kit" tells how links stand and how old each team's own news is.</summary>
public sealed class KitPageTests
{
    private static CancellationToken Cancel => TestContext.Current.CancellationToken;

    [Fact]
    public async Task Links_OfAHubThatAnswersAndThenGoes_StandAndThenAreDown()
    {
        TestHub camp = await TestHub.StartAsync();
        await using TestHub ridge = await TestHub.StartAsync(change: options => options with { Node = NodeId.Parse("ridge-hub"), Hubs = [camp.Address] });

        string stands = await UntilAsync(ridge, "✓ stands since");
        Assert.Contains($"base-camp at {camp.Address.Authority}", stands, StringComparison.Ordinal);
        Assert.Contains("None. This hub dials nobody", await PageAsync(camp), StringComparison.Ordinal);

        await camp.DisposeAsync();

        Assert.Contains("reports are kept and passed on later", await UntilAsync(ridge, "✗ down since"), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Teams_WithAndWithoutAnAgentThatWasHeard_SayHowOldTheirNewsIs()
    {
        await using TestHub hub = await TestHub.StartAsync();
        using GrpcChannel channel = GrpcChannel.ForAddress(hub.Address);
        var kit = new V1.DeclareKitRequest();
        KitItem[] items =
        [
            new Trip(KitId.Parse("ibex"), new LocalDate(2027, 2, 8), new LocalDate(2027, 2, 24), Offset.FromHours(5)),
            new Place(KitId.Parse("camp"), new(41.9), new(77.7), new(3900), new Celsius(-28), new Celsius(-6), 0.66, 0.7, []),
            new Team(KitId.Parse("base team"), KitId.Parse("camp")),
            new Team(KitId.Parse("hide team"), KitId.Parse("camp")),
            new WatchedAgent(NodeId.Parse("base-camp"), KitId.Parse("base team"), Duration.FromHours(6)),
        ];
        kit.Items.AddRange(items.Select(KitItemCodec.Write));
        await new V1.MeshService.MeshServiceClient(channel).DeclareKitAsync(kit, cancellationToken: Cancel);
        await hub.Application.WhenCaughtUpAsync(Cancel);

        string page = await PageAsync(hub);

        Assert.Contains("<bdi>base team</bdi></strong>: last heard through base-camp", page, StringComparison.Ordinal);
        Assert.Contains("<bdi>hide team</bdi></strong>: nothing heard yet from an agent of its own", page, StringComparison.Ordinal);
    }

    private static async Task<string> UntilAsync(TestHub hub, string words)
    {
        while (true)
        {
            string page = await PageAsync(hub);
            if (page.Contains(words, StringComparison.Ordinal))
            {
                return page;
            }
        }
    }

    private static async Task<string> PageAsync(TestHub hub)
    {
        using var http = new HttpClient { BaseAddress = hub.Address };
        return WebUtility.HtmlDecode(await http.GetStringAsync(new Uri("/kit", UriKind.Relative), Cancel));
    }
}
