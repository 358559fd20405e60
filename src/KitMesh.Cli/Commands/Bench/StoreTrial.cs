using System.Globalization;
using KitMesh.Domain.Reports;
using KitMesh.Storage;
using KitMesh.Storage.Queries;
using KitMesh.Storage.RollUps;
using KitMesh.Sync.Journal;
using NodaTime;

namespace KitMesh.Cli.Commands.Bench;

/// <summary>Fills one store and asks it questions.</summary>
internal sealed class StoreTrial(IReportStore store, StoreLoad load, TimeProvider machine, Action<string> say)
{
    private const int Askings = 21;
    private static readonly Instant Start = Instant.FromUtc(2027, 2, 14, 6, 0);

    /// <summary>Runs all of it.</summary>
    /// <param name="name">The store's name.</param>
    /// <param name="settle">Runs between the writes and the questions.</param>
    /// <param name="stop">Gives up.</param>
    public async Task<StoreBenchResult> RunAsync(string name, Func<Task> settle, CancellationToken stop)
    {
        (TimeSpan took, TimeSpan slowest, TimeSpan cpu) = (TimeSpan.Zero, TimeSpan.Zero, TimeSpan.Zero);
        (long done, long told) = (0, 0);
        foreach (IReadOnlyList<IncomingReport> write in load.Writes())
        {
            TimeSpan before = Environment.CpuUsage.TotalTime;
            long start = machine.GetTimestamp();
            await store.WriteAsync(write, JournalPosition.Start, stop);
            TimeSpan one = machine.GetElapsedTime(start);
            cpu += Environment.CpuUsage.TotalTime - before;
            took += one;
            slowest = one > slowest ? one : slowest;
            done += write.Count;
            if (done * 10 / load.Reports > told)
            {
                told = done * 10 / load.Reports;
                say(string.Create(CultureInfo.InvariantCulture, $"{name}: {done:#,0} of {load.Reports:#,0} reports, {done / took.TotalSeconds:#,0} a second so far."));
            }
        }

        GC.Collect();
        long memory = Environment.WorkingSet;
        await settle();
        return new StoreBenchResult(name, load.Reports / took.TotalSeconds, slowest.TotalMilliseconds, cpu.TotalSeconds, memory, await AskAsync(stop));
    }

    private async Task<Dictionary<string, double>> AskAsync(CancellationToken stop)
    {
        var random = new Random(5);
        Duration whole = Duration.FromSeconds(10 * load.ReportsPerAgent);
        Instant Anywhere() => Start + (whole * random.NextDouble());
        KitId Pack() => KitId.Parse(string.Create(CultureInfo.InvariantCulture, $"bank {random.Next(load.Agents)}"));
        return new Dictionary<string, double>
        {
            ["newest100"] = await TimeAsync(() => store.ReadAsync(new ReportQuery(Limit: 100, NewestFirst: true), stop)),
            ["thing1000AtAnyTime"] = await TimeAsync(() => store.ReadAsync(new ReportQuery(Item: Pack(), From: Anywhere(), Limit: 1_000), stop)),
            ["kind1000AtAnyTime"] = await TimeAsync(() => store.ReadAsync(new ReportQuery(Kinds: [ReportKind.TemperatureReading], From: Anywhere(), Limit: 1_000), stop)),
            ["origin1MiBFromAnywhere"] = await TimeAsync(() => store.ReadOriginAsync(StoreLoad.OriginOf(random.Next(load.Agents)), (ulong)random.NextInt64(1, load.ReportsPerAgent), 1 << 20, stop)),
            ["dayOfMinutes"] = await TimeAsync(() => RollUpsAsync(RollUpSpan.Minute, Anywhere(), Duration.FromDays(1))),
            ["seasonOfDays"] = await TimeAsync(() => RollUpsAsync(RollUpSpan.Day, Start, Duration.FromDays(90))),
            ["countsByKind"] = await TimeAsync(() => store.CountByKindAsync(stop)),
            ["watermarks"] = await TimeAsync(() => store.ReadWatermarksAsync(stop)),
        };

        Task<IReadOnlyList<RollUp>> RollUpsAsync(RollUpSpan span, Instant from, Duration length) =>
            store.ReadRollUpsAsync(new RollUpQuery(new SeriesKey(Pack(), SeriesQuantity.PackVolts), span, from, from + length), stop);
    }

    private async Task<double> TimeAsync<T>(Func<Task<T>> ask)
    {
        var times = new List<double>();
        for (int i = 0; i < Askings; i++)
        {
            long start = machine.GetTimestamp();
            _ = await ask();
            times.Add(machine.GetElapsedTime(start).TotalMilliseconds);
        }

        return times.Order().ElementAt(Askings / 2);
    }
}
