namespace KitMesh.Container.Tests;

/// <summary>Two team hubs, a base camp and agents on a real network: whatever is cut, killed, frozen or filled, every typed reading arrives once.</summary>
public sealed class ThreeHubsTests(KitMeshImage image)
{
    [Fact]
    public async Task TypedReadings_NetworkCutHubsKilledPausedRestartedAndDiskFull_AllHubsHoldAllOnceAndAgree()
    {
        Engine.SkipIfMissing();
        await using ThreeHubs three = await ThreeHubs.StartAsync(image);
        await three.TypeAsync(three.RidgePhone, 100);
        await three.TypeAsync(three.HidePhone, 80);
        await three.WaitForAsync(180);

        // The ridge is off the network: its phone keeps what is typed, and the others go on.
        await three.Network.DisconnectAsync(three.Ridge.Container.Id);
        await three.TypeAsync(three.RidgePhone, 70);
        await three.TypeAsync(three.HidePhone, 50);
        await three.WaitForAsync(230, three.Camp, three.Hide);

        // Everything at once: a hub dies while it is cut off, one is frozen, the camp is switched off and on.
        await three.Ridge.KillProcessAsync();
        await three.Hide.Container.PauseAsync(TestContext.Current.CancellationToken);
        await three.TypeAsync(three.HidePhone, 30);
        await three.Camp.RestartAsync();
        await three.Network.ConnectAsync(three.Ridge.Container.Id, three.Ridge.Name);
        await three.Ridge.StartProcessAsync();
        await three.Hide.Container.UnpauseAsync(TestContext.Current.CancellationToken);
        await three.WaitForAsync(330);

        // The disk of the ridge is full: nothing is acknowledged, nothing is lost, and it goes on when there is room.
        await ThreeHubs.FillDiskAsync(three.Ridge);
        await three.TypeAsync(three.RidgePhone, 400);
        await three.TypeAsync(three.HidePhone, 20);
        await three.WaitForAsync(350, three.Camp, three.Hide);
        await three.Ridge.RunAsync("rm /small/filler");
        await three.WaitForAsync(750);
        await three.WaitForEqualAsync();
    }
}
