using KitMesh.Devices.Mapping;
using KitMesh.Domain.Reports;

namespace KitMesh.Devices.Sysfs;

/// <summary>Polls one device of a kernel class, whatever the class.</summary>
internal sealed class ChipReader(string name, ChipOptions options, ReaderContext context) : IReader
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
        string? folder = SysfsDevice.FindByName(options.Root, options.Chip);
        if (folder is null)
        {
            await faults.RaiseAsync(options.Word, null, $"No {options.Word} called \"{options.Chip}\" under {options.Root}.", default, stop).ConfigureAwait(false);
            return;
        }

        await faults.ClearAsync(options.Word, null, stop).ConfigureAwait(false);
        var set = new ReadingSet();
        foreach (IChipSensor sensor in options.Sensors)
        {
            if (options.Subjects.Find(sensor.Meaning.Target, sensor.Meaning.Index) is not { } subject)
            {
                continue;
            }

            (double? value, string? complaint) = sensor.Read(folder);
            await (complaint is null
                ? faults.ClearAsync(sensor.Name, subject, stop)
                : faults.RaiseAsync(sensor.Name, subject, $"{options.Chip}: {complaint}", default, stop)).ConfigureAwait(false);
            if (value is { } number)
            {
                set.Set(sensor.Meaning.Target, subject, sensor.Meaning.Field, number, $"{options.Chip} {sensor.Name}");
            }
        }

        foreach (ReportBody body in set.Bodies())
        {
            await sink.WriteAsync(new Sample(body), stop).ConfigureAwait(false);
        }
    }
}
