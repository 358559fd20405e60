using KitMesh.Devices.Mapping;
using KitMesh.Devices.Sysfs;
using KitMesh.Domain.Reports;

namespace KitMesh.Devices.Iio;

/// <summary>Polls one converter.</summary>
internal sealed class IioReader(string name, IioOptions options, ReaderContext context) : IReader
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
        string? folder = SysfsDevice.FindByName(options.Root, options.Device);
        if (folder is null)
        {
            await faults.RaiseAsync("device", null, $"No device called \"{options.Device}\" under {options.Root}.", default, stop).ConfigureAwait(false);
            return;
        }

        await faults.ClearAsync("device", null, stop).ConfigureAwait(false);
        var set = new ReadingSet();
        foreach (IioChannel channel in options.Channels)
        {
            if (options.Subjects.Find(channel.Meaning.Target, channel.Meaning.Index) is not { } subject)
            {
                continue;
            }

            (double? value, string? complaint) = channel.Read(folder);
            await (complaint is null
                ? faults.ClearAsync(channel.Name, subject, stop)
                : faults.RaiseAsync(channel.Name, subject, $"{options.Device}: {complaint}", default, stop)).ConfigureAwait(false);
            if (value is { } number)
            {
                set.Set(channel.Meaning.Target, subject, channel.Meaning.Field, number, $"{options.Device} {channel.Name}");
            }
        }

        foreach (ReportBody body in set.Bodies())
        {
            await sink.WriteAsync(new Sample(body), stop).ConfigureAwait(false);
        }
    }
}
