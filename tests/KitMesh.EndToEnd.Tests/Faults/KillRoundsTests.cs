using System.Globalization;
using KitMesh.Domain.Reports;
using KitMesh.Protocol.V1;
using KitMesh.TestKit.Agent;

namespace KitMesh.EndToEnd.Tests.Faults;

/// <summary>
/// kill -9 of real hubs and agents under load: nothing acknowledged is lost, no origin has a gap, and the state after a
/// replay has the same fingerprint. 8 rounds in each test run; KITMESH_KILL_ROUNDS=200 for the full run,
/// KITMESH_KILL_SEED for another order of deaths.
/// </summary>
public sealed class KillRoundsTests
{
    private const int UsualRounds = 8;

    [Fact]
    public async Task KillNine_HubAndAgentsUnderLoad_LosesNothingAcknowledged()
    {
        if (!File.Exists("/bin/sh"))
        {
            Assert.Skip("The load is a shell script and there is no /bin/sh here.");
        }

        int rounds = FromEnvironment("KITMESH_KILL_ROUNDS", UsualRounds);
        int seed = FromEnvironment("KITMESH_KILL_SEED", 1);
        var dice = new Random(seed);
        await using KillCamp camp = await KillCamp.StartAsync();
        int hubKills = 0;
        int agentKills = 0;
        ulong acknowledged;
        await using (var pusher = new Pusher(camp.HubAddress, camp.WhenHubIsUp))
        {
            for (int round = 1; round <= rounds; round++)
            {
                await pusher.MoreAsync(dice.Next(1, 400));
                if (round % 20 == 0)
                {
                    Console.WriteLine($"Round {round} of {rounds}: {pusher.Acknowledged} acknowledged so far.");
                }

                int victim = dice.Next(4);
                string agent = KillCamp.Agents[dice.Next(KillCamp.Agents.Count)];
                hubKills += victim < 2 ? 1 : 0;
                agentKills += victim > 0 ? 1 : 0;

                // Both at once, where both die: the agent then also finds no hub when it comes back.
                await Task.WhenAll(
                    victim < 2 ? KillHubAsync(camp, pusher, $"seed {seed}, round {round}") : Task.CompletedTask,
                    victim > 0 ? KillAgentAsync(camp, agent) : Task.CompletedTask);
            }

            await pusher.MoreAsync(100);
            acknowledged = pusher.Acknowledged;
        }

        await JudgeAsync(camp, acknowledged, $"{rounds} rounds, seed {seed}, {hubKills} times the hub, {agentKills} times an agent");
    }

    private static async Task KillHubAsync(KillCamp camp, Pusher pusher, string when)
    {
        await camp.KillHubAsync();
        ulong acknowledged = pusher.Acknowledged;
        await camp.StartHubAsync();
        GetStatusResponse status = await camp.StatusAsync();
        OriginStatus? origin = status.Origins.SingleOrDefault(o => o.Origin.Node == Pusher.Origin.Node.Value);
        Assert.True(acknowledged == 0 || origin?.Ranges[0] is { First: 1 } range && range.Last >= acknowledged, $"{when}: {acknowledged} were acknowledged, the hub holds {origin?.Ranges}.");
        Assert.All(status.Origins, o => Assert.True(o.Ranges.Count == 1 && o.Ranges[0].First == 1, $"{when}: {o.Origin} has gaps: {o.Ranges}."));
    }

    private static async Task KillAgentAsync(KillCamp camp, string agent)
    {
        await camp.KillAgentAsync(agent);
        await camp.StartAgentAsync(agent);
    }

    private static async Task JudgeAsync(KillCamp camp, ulong acknowledged, string what)
    {
        var journals = new List<JournalInspection>();
        foreach (string agent in KillCamp.Agents)
        {
            await camp.KillAgentAsync(agent);
            journals.AddRange(JournalInspection.Of(camp.JournalOf(agent), NodeId.Parse(agent)));
            await camp.StartAgentAsync(agent);
        }

        // Everything that was on the agents' own disks reaches the hub.
        GetStatusResponse status;
        do
        {
            status = await camp.StatusAsync();
        }
        while (!journals.TrueForAll(j => Holds(status, j)));

        foreach (string agent in KillCamp.Agents)
        {
            await camp.KillAgentAsync(agent);
        }

        // Nobody writes any more but the hub itself. What it merged while it ran, and was killed in, is what a replay gives.
        await ReplayAgreesAsync(camp);
        await camp.KillHubAsync();
        Directory.Delete(Path.Combine(camp.HubFolder, "store"), recursive: true);
        await camp.StartHubAsync();
        (ulong reports, string fingerprint) = await ReplayAgreesAsync(camp);
        GetStatusResponse after = await SettledAsync(camp);
        await camp.KillHubAsync();
        List<JournalInspection> held = [.. JournalInspection.Of(Path.Combine(camp.HubFolder, "journal"), NodeId.Parse("hub"))];

        Assert.All(held, h => Assert.True(h.ChainHash.Length > 0, $"{h.Origin} has gaps: {h.Ranges}"));
        Assert.True(held.Single(h => h.Origin == Pusher.Origin).Ranges.Last >= acknowledged);
        Assert.Equal(0L, after.Origins.Sum(o => (long)o.Forks));
        Console.WriteLine($"{what}: {acknowledged} reports acknowledged to the pusher, {reports} held, 0 acknowledged lost, 0 gaps, replay gives the same fingerprint {fingerprint}.");
    }

    private static async Task<(ulong Reports, string Fingerprint)> ReplayAgreesAsync(KillCamp camp)
    {
        for (int attempt = 1; attempt <= 5; attempt++)
        {
            GetStatusResponse running = await SettledAsync(camp);
            await camp.KillHubAsync();
            (ulong reports, string fingerprint) = JournalInspection.Replay(Path.Combine(camp.HubFolder, "journal"), NodeId.Parse("hub"));
            await camp.StartHubAsync();

            // A report of the hub's own (a sign of life, a clock pair) may have come between the answer and its death.
            if (reports == running.Reports)
            {
                Assert.Equal(fingerprint, running.StateFingerprint);
                return (reports, fingerprint);
            }
        }

        throw new InvalidOperationException("The hub never came to rest.");
    }

    private static bool Holds(GetStatusResponse status, JournalInspection journal) =>
        journal.Ranges.IsEmpty
        || status.Origins.Any(o => o.Origin.Node == journal.Origin.Node.Value && o.Origin.Epoch == journal.Origin.Epoch
            && o.Ranges.Count == 1 && o.Ranges[0].First == 1 && o.Ranges[0].Last >= journal.Ranges.Last);

    // The merged view follows the journal by a moment.
    private static async Task<GetStatusResponse> SettledAsync(KillCamp camp)
    {
        while (true)
        {
            GetStatusResponse status = await camp.StatusAsync();
            if (status.Reports == (ulong)status.Origins.Sum(o => o.Ranges.Sum(r => (long)(r.Last - r.First + 1))))
            {
                return status;
            }
        }
    }

    private static int FromEnvironment(string name, int otherwise) =>
        int.TryParse(Environment.GetEnvironmentVariable(name), NumberStyles.None, CultureInfo.InvariantCulture, out int value) && value > 0 ? value : otherwise;
}
