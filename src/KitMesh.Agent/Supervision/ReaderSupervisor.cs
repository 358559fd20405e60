using System.IO.Hashing;
using System.Text;
using KitMesh.Agent.Options;
using KitMesh.Agent.Outbox;
using KitMesh.Devices;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using KitMesh.Sync.Session;
using Microsoft.Extensions.Hosting;

namespace KitMesh.Agent.Supervision;

/// <summary>Runs every reader and makes it anew when it breaks, after a pause that grows; one reader's fault never stops another.</summary>
internal sealed class ReaderSupervisor(
    AgentOptions options,
    AgentSurroundings surroundings,
    AgentCounters counters,
    SampleIntake intake) : BackgroundService
{
    /// <inheritdoc/>
    protected override Task ExecuteAsync(CancellationToken stoppingToken) =>
        Task.WhenAll(options.Readers.Select(reader => Task.Run(() => KeepAsync(reader, stoppingToken), CancellationToken.None)));

    private async Task KeepAsync(ReaderOptions reader, CancellationToken stop)
    {
        var backoff = new Backoff(surroundings.DrawId());
        while (!stop.IsCancellationRequested)
        {
            long started = surroundings.MachineTime.GetTimestamp();
            string? broke = await RunAsync(reader, stop).ConfigureAwait(false);
            if (broke is null)
            {
                return;
            }

            // A reader that ran well for a while starts again at once when it breaks.
            if (surroundings.MachineTime.GetElapsedTime(started) > TimeSpan.FromMinutes(10))
            {
                backoff.Reset();
            }

            TimeSpan pause = backoff.Next();
            string words = $"The reader broke and starts again in {pause.TotalSeconds:0} s: {broke}";
            surroundings.Say($"{reader.Name}: {words}");
            try
            {
                await intake.WriteAsync(new Sample(new ReaderFault(reader.Name, null, words, [], Cleared: false)), stop).ConfigureAwait(false);
                await Task.Delay(pause, surroundings.MachineTime, stop).ConfigureAwait(false);
            }
            catch (OperationCanceledException)
            {
                return;
            }
        }
    }

    private async Task<string?> RunAsync(ReaderOptions options, CancellationToken stop)
    {
        try
        {
            IReader reader = options.Make(Context(options.Name));
            await using (reader.ConfigureAwait(false))
            {
                await reader.RunAsync(new StartedSink(options.Name, intake), stop).ConfigureAwait(false);
                return stop.IsCancellationRequested ? null : "it ended by itself.";
            }
        }
        catch (OperationCanceledException) when (stop.IsCancellationRequested)
        {
            return null;
        }
#pragma warning disable CA1031 // The one door: a programmer's fault in one reader must not take the guard of another pack down.
        catch (Exception e)
#pragma warning restore CA1031
        {
            return $"{e.GetType().Name}: {e.Message}";
        }
    }

    // A name may hold anything a person likes; its folder gets a hash beside the plain letters.
    private ReaderContext Context(string name)
    {
        string plain = new([.. name.Select(c => char.IsAsciiLetterOrDigit(c) ? c : '-').Take(40)]);
        string folder = Path.Combine(options.DataFolder, "readers", $"{plain}-{XxHash3.HashToUInt64(Encoding.UTF8.GetBytes(name)):x16}");
        return new ReaderContext(surroundings.MachineTime, surroundings.Pace, surroundings.Clock, folder, counters.CountWakeUp)
        {
            LoadNow = load => intake.Load(load),
            BatteryNow = intake.Battery,
            RecheckAgeIn = surroundings.RecheckAgeIn,
        };
    }
}
