using KitMesh.Protocol.V1;

namespace KitMesh.Container.Tests;

/// <summary>The shipped image, run as a crew would: what an agent journalled arrives, whatever dies or sleeps on the way.</summary>
public sealed class CampTests(KitMeshImage image)
{
    [Fact]
    public async Task TypedReadings_HubKilledAndPhoneAsleep_AllArriveOnce()
    {
        Engine.SkipIfMissing();
        await using Camp camp = await Camp.StartAsync(image);

        await camp.TypeAsync(readings: 200);
        GetStatusResponse? first = await camp.WaitForReadingsAsync(200);
        Assert.True(Camp.Readings(first) == 200, await camp.LogsAsync());

        await camp.KillHubAsync();
        await camp.TypeAsync(readings: 300);
        await camp.PausePhoneAsync();
        await camp.StartHubAsync();
        await camp.WakePhoneAsync();

        GetStatusResponse? second = await camp.WaitForReadingsAsync(500);
        Assert.True(Camp.Readings(second) == 500, await camp.LogsAsync());
        OriginStatus phone = Assert.Single(second!.Origins, origin => origin.Origin.Node == "ridge-phone");
        Assert.Single(phone.Ranges);
    }
}
