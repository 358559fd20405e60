using KitMesh.Devices.Mapping;
using KitMesh.Domain.Reports;

namespace KitMesh.Devices.PowerSupply;

/// <summary>Polls one battery of the kernel.</summary>
internal sealed class PowerSupplyReader(string name, PowerSupplyOptions options, ReaderContext context) : IReader
{
    /// <inheritdoc/>
    public string Name => name;

    /// <inheritdoc/>
    public Task RunAsync(ISampleSink sink, CancellationToken stop)
    {
        var faults = new FaultLatch(name, sink);
        return PollLoop.RunAsync(context, options.Interval, token => PollAsync(sink, faults, token), stop);
    }

    /// <inheritdoc/>
    public ValueTask DisposeAsync() => ValueTask.CompletedTask;

    private async Task PollAsync(ISampleSink sink, FaultLatch faults, CancellationToken stop)
    {
        KitId? subject = options.Battery ?? options.Load;
        if (!Directory.Exists(options.Folder))
        {
            await faults.RaiseAsync("supply", subject, $"{options.Folder} is not there: the battery or its driver is gone.", default, stop).ConfigureAwait(false);
            return;
        }

        await faults.ClearAsync("supply", subject, stop).ConfigureAwait(false);
        PowerSupplySnapshot now = PowerSupplySnapshot.Read(options.Folder, options.Sign);
        await (now.Complaints.Count > 0
            ? faults.RaiseAsync("values", subject, $"{options.Folder}: {string.Join(" ", now.Complaints)}", default, stop)
            : faults.ClearAsync("values", subject, stop)).ConfigureAwait(false);
        foreach (ReportBody body in Fill(now).Bodies())
        {
            await sink.WriteAsync(new Sample(body), stop).ConfigureAwait(false);
        }
    }

    private ReadingSet Fill(PowerSupplySnapshot now)
    {
        var set = new ReadingSet();
        if (options.Battery is { } battery)
        {
            Set(set, ReadingTarget.Battery, battery, ReadingField.Volts, now.Volts);
            Set(set, ReadingTarget.Battery, battery, ReadingField.Amperes, now.Amperes);
            Set(set, ReadingTarget.Battery, battery, ReadingField.Watts, now.Watts);
            Set(set, ReadingTarget.Battery, battery, ReadingField.Charge, now.Charge);
            Set(set, ReadingTarget.Battery, battery, ReadingField.Temperature, now.Temperature);
        }
        else if (options.Load is { } load)
        {
            set.SetActivity(load, now.Activity);
            Set(set, ReadingTarget.Load, load, ReadingField.Charge, now.Charge);
            Set(set, ReadingTarget.Load, load, ReadingField.Temperature, now.Temperature);
        }

        return set;
    }

    private static void Set(ReadingSet set, ReadingTarget target, KitId subject, ReadingField field, double? value)
    {
        if (value is { } number)
        {
            set.Set(target, subject, field, number);
        }
    }
}
