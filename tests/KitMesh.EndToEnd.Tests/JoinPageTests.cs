using System.Diagnostics;
using System.Text.Json;
using Microsoft.Playwright;

namespace KitMesh.EndToEnd.Tests;

/// <summary>A keeper shows a picture, a phone scans it and joins: in real browsers, over TLS, the picture read by a reader of another maker.</summary>
public sealed class JoinPageTests
{
    private const string Scanner = "/usr/bin/zbarimg";
    private static readonly LocatorAssertionsToContainTextOptions Patient = new() { Timeout = OpenBrowser.LongestWait };

    [Fact]
    public async Task Picture_OfAKeepersPage_ScannedLetsOnePhoneInAndNoSecond()
    {
        OpenBrowser.SkipWhereMissing();
        Assert.SkipUnless(File.Exists(Scanner), "Debian's package zbar-tools is not installed here: nothing reads the picture.");
        using var folder = new TempFolder();
        await using RunningNode hub = await RunningNode.StartAsync("hub", "--json", "--node", "base-camp", "--data", folder.At("hub"), "--listen", "https://127.0.0.1:0", "--trip", Checkout.PathTo("deploy", "demo", "trip.yaml"));
        string lead = await JoinAsKeeperAsync(folder, hub);
        await using OpenBrowser keeper = await OpenBrowser.StartAsync(768, 1024, certificate: new ClientCertificate { Origin = hub.Address, CertPath = Path.Combine(lead, "node.crt"), KeyPath = Path.Combine(lead, "node.key") });
        await keeper.Page.GotoAsync(hub.Address + "/kit");
        await keeper.Page.Locator("#join-node").FillAsync("second-camera-phone");
        await keeper.Page.Locator("#join button").ClickAsync();
        string picture = folder.At("join.png");
        await keeper.Page.Locator("svg.qr").ScreenshotAsync(new() { Path = picture });

        string link = await ScanAsync(picture);
        Assert.Equal(await keeper.Page.Locator("#join a").GetAttributeAsync("href"), link);

        await using OpenBrowser phone = await OpenBrowser.StartAsync(390, 844, anyCertificate: true);
        await phone.Page.GotoAsync(hub.Address + "/");
        await Assertions.Expect(phone.Page.Locator("body")).ToContainTextAsync("Join first", Patient);
        await phone.Page.GotoAsync(link);
        await phone.KeepPictureAsync("join-390.png");
        await phone.Page.Locator("button").ClickAsync();
        await Assertions.Expect(phone.Page.Locator("h1")).ToContainTextAsync("Tonight", Patient);
        await phone.Page.GotoAsync(hub.Address + "/trip");
        await Assertions.Expect(phone.Page.Locator("#tell")).ToContainTextAsync("You may read here", Patient);

        await using OpenBrowser second = await OpenBrowser.StartAsync(390, 844, anyCertificate: true);
        await second.Page.GotoAsync(link);
        await second.Page.Locator("button").ClickAsync();
        await Assertions.Expect(second.Page.Locator("[role=status]")).ToContainTextAsync("not valid", Patient);
    }

    private static async Task<string> JoinAsKeeperAsync(TempFolder folder, RunningNode hub)
    {
        Executable.Finished made = await Executable.RunAsync("enrol", "code", "--json", "--data", folder.At("hub"), "--node", "lead-laptop", "--role", "keeper");
        Assert.True(made.Code == 0, made.Error);
        using Process joining = Executable.Start("enrol", "--hub", hub.Address, "--identity", folder.At("lead"));
        await joining.StandardInput.WriteLineAsync(JsonDocument.Parse(made.Output).RootElement.GetProperty("code").GetString());
        joining.StandardInput.Close();
        Task<string> said = joining.StandardError.ReadToEndAsync(TestContext.Current.CancellationToken);
        await joining.StandardOutput.ReadToEndAsync(TestContext.Current.CancellationToken);
        await joining.WaitForExitAsync(TestContext.Current.CancellationToken);
        Assert.True(joining.ExitCode == 0, await said);
        return folder.At("lead");
    }

    private static async Task<string> ScanAsync(string picture)
    {
        var start = new ProcessStartInfo(Scanner) { RedirectStandardOutput = true, RedirectStandardError = true };
        foreach (string word in (string[])["--raw", "-q", picture])
        {
            start.ArgumentList.Add(word);
        }

        using Process process = Process.Start(start)!;
        Task<string> error = process.StandardError.ReadToEndAsync(TestContext.Current.CancellationToken);
        string output = await process.StandardOutput.ReadToEndAsync(TestContext.Current.CancellationToken);
        await process.WaitForExitAsync(TestContext.Current.CancellationToken);
        Assert.True(process.ExitCode == 0, await error);
        return output.Trim();
    }
}
