using KitMesh.Devices.Mapping;
using KitMesh.Devices.Sysfs;
using KitMesh.Domain.Reports;

namespace KitMesh.Devices.Hwmon;

/// <summary>Polls one sensor chip.</summary>
internal sealed class HwmonReader(string name, HwmonOptions options, ReaderContext context) : IReader
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
            await faults.RaiseAsync("chip", null, $"No chip called \"{options.Chip}\" under {options.Root}.", default, stop).ConfigureAwait(false);
            return;
        }

        await faults.ClearAsync("chip", null, stop).ConfigureAwait(false);
        var set = new ReadingSet();
        foreach (HwmonInput input in options.Inputs)
        {
            if (options.Subjects.Find(input.Meaning.Target, input.Meaning.Index) is not { } subject)
            {
                continue;
            }

            (double? value, string? complaint) = Value(folder, input);
            await (complaint is null
                ? faults.ClearAsync(input.Name, subject, stop)
                : faults.RaiseAsync(input.Name, subject, $"{options.Chip}: {complaint}", default, stop)).ConfigureAwait(false);
            if (value is { } number)
            {
                set.Set(input.Meaning.Target, subject, input.Meaning.Field, number, $"{options.Chip} {input.Name}");
            }
        }

        foreach (ReportBody body in set.Bodies())
        {
            await sink.WriteAsync(new Sample(body), stop).ConfigureAwait(false);
        }
    }

    private static (double? Value, string? Complaint) Value(string folder, HwmonInput input)
    {
        if (SysfsFile.Read(folder, $"{input.Name}_fault") is SysfsFile.Text { Value: not "0" })
        {
            return (null, $"{input.Name} reports a fault of its sensor; its value is not used.");
        }

        double? raw = SysfsFile.Number(folder, $"{input.Name}_input", out string? complaint);
        return raw is { } number ? (input.Unit.Convert(number), null) : (null, complaint ?? $"{input.Name}_input is not there.");
    }
}
