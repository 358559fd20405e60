using System.Diagnostics;
using System.Text.Json;

namespace KitMesh.EndToEnd.Tests.Links;

/// <summary>Three hubs of one trip in processes of their own, in a loop, by certificates: one is killed and one loses its trust.</summary>
public sealed class HubLinksTests
{
    [Fact]
    public async Task ThreeHubsInALoop_OneKilledAndBack_HearAllAndARevokedOneIsTurnedAway()
    {
        using var folder = new TempFolder();
        await using RunningNode camp = await HubAsync(folder, "base-camp");
        await JoinAsync(folder, "base-camp", camp, "ridge-hub", "hub", "--data", folder.At("ridge-hub"));
        await JoinAsync(folder, "base-camp", camp, "hide-hub", "hub", "--data", folder.At("hide-hub"));
        await using RunningNode hide = await HubAsync(folder, "hide-hub", "--to", camp.Address);
        await using (RunningNode ridge = await HubAsync(folder, "ridge-hub", "--to", camp.Address, "--to", hide.Address))
        {
            // A writer whom the ridge hub lets in is known to the others only by the report of it.
            await JoinAsync(folder, "ridge-hub", ridge, "ridge-phone", "writer", "--identity", folder.At("ridge-phone"));
            await UntilListedAsync(folder, "base-camp", "ridge-phone");
            await UntilListedAsync(folder, "hide-hub", "ridge-phone");
            await ridge.KillAsync();
        }

        await JoinAsync(folder, "hide-hub", hide, "hide-phone", "writer", "--identity", folder.At("hide-phone"));
        await using RunningNode back = await HubAsync(folder, "ridge-hub", "--to", camp.Address, "--to", hide.Address);
        await UntilListedAsync(folder, "ridge-hub", "hide-phone");

        Executable.Finished revoked = await Executable.RunAsync("enrol", "revoke", "ridge-hub", "--reason", "lost on the glacier", "--data", folder.At("base-camp"), "--json");
        Assert.True(revoked.Code == 0, revoked.Error);
        await UntilAsync(() => Task.FromResult(back.Said.Contains("The trust in ridge-hub was ended", StringComparison.Ordinal)), () => back.Said);
    }

    [Theory]
    [InlineData("https://127.0.0.1:7433", "has no certificate")]
    [InlineData("http://192.168.4.1:7433", "Use https")]
    [InlineData("http://127.0.0.1:7433/v1", "is a path")]
    [InlineData("ftp://127.0.0.1", "no address of a hub")]
    [InlineData("next door", "is no address")]
    public async Task Hub_ToAWrongAddress_RefusedInWords(string to, string words)
    {
        using var folder = new TempFolder();

        Executable.Finished ended = await Executable.RunAsync("hub", "--data", folder.At("hub"), "--listen", "http://127.0.0.1:0", "--to", to);

        Assert.Equal(2, ended.Code);
        Assert.Contains(words, ended.Error, StringComparison.Ordinal);
    }

    private static Task<RunningNode> HubAsync(TempFolder folder, string node, params string[] more) =>
        RunningNode.StartAsync(["hub", "--json", "--node", node, "--data", folder.At(node), "--listen", "https://127.0.0.1:0", .. more]);

    /// <summary>Lets a node in at a hub, through that hub's own machine.</summary>
    private static async Task JoinAsync(TempFolder folder, string atHub, RunningNode hub, string node, string role, params string[] where)
    {
        Executable.Finished made = await Executable.RunAsync("enrol", "code", "--json", "--data", folder.At(atHub), "--node", node, "--role", role);
        Assert.True(made.Code == 0, made.Error);
        using Process process = Executable.Start(["enrol", "--hub", hub.Address, .. where]);
        await process.StandardInput.WriteLineAsync(JsonDocument.Parse(made.Output).RootElement.GetProperty("code").GetString());
        process.StandardInput.Close();
        Task<string> output = process.StandardOutput.ReadToEndAsync(TestContext.Current.CancellationToken);
        string error = await process.StandardError.ReadToEndAsync(TestContext.Current.CancellationToken);
        await process.WaitForExitAsync(TestContext.Current.CancellationToken);
        Assert.True(process.ExitCode == 0, await output + error);
    }

    private static Task UntilListedAsync(TempFolder folder, string atHub, string node)
    {
        string seen = "";
        return UntilAsync(
            async () =>
            {
                Executable.Finished list = await Executable.RunAsync("enrol", "list", "--data", folder.At(atHub), "--json");
                seen = list.Output + list.Error;
                return seen.Contains($"\"{node}\"", StringComparison.Ordinal);
            },
            () => seen);
    }

    private static async Task UntilAsync(Func<Task<bool>> isSo, Func<string> said)
    {
        using var timer = new PeriodicTimer(TimeSpan.FromMilliseconds(300));
        for (int i = 0; i < 300; i++)
        {
            if (await isSo())
            {
                return;
            }

            await timer.WaitForNextTickAsync(TestContext.Current.CancellationToken);
        }

        Assert.Fail($"It did not come to this: {said()}");
    }
}
