using System.Text;
using KitMesh.Devices.Mapping;
using KitMesh.Devices.Sysfs;
using KitMesh.Domain.Reports;

namespace KitMesh.Devices.OneWire;

/// <summary>Polls the thermometers of a bus. The probes of one battery go into one reading.</summary>
internal sealed class OneWireReader(string name, OneWireOptions options, ReaderContext context) : IReader
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
        var set = new ReadingSet();
        foreach (OneWireSensor sensor in options.Sensors)
        {
            string folder = Path.Combine(options.Root, sensor.Device);
            SysfsFile file = SysfsFile.Read(folder, "w1_slave");
            OneWireAnswer answer = file switch
            {
                SysfsFile.Text text => OneWireAnswer.Parse(text.Value),
                SysfsFile.Absent => new OneWireAnswer.Refused("the sensor is not on the bus"),
                SysfsFile.Broken broken => new OneWireAnswer.Refused(broken.Why),
                _ => new OneWireAnswer.Refused("the sensor has no value now"),
            };
            if (answer is OneWireAnswer.Measured measured)
            {
                set.Set(sensor.Target, sensor.Subject, ReadingField.Temperature, measured.Temperature.Value, sensor.Device);
                await faults.ClearAsync(sensor.Device, sensor.Subject, stop).ConfigureAwait(false);
            }
            else if (answer is OneWireAnswer.Refused refused)
            {
                byte[] raw = file is SysfsFile.Text text ? Encoding.UTF8.GetBytes(text.Value) : [];
                await faults.RaiseAsync(sensor.Device, sensor.Subject, $"{sensor.Device}: {refused.Why}.", raw, stop).ConfigureAwait(false);
            }
        }

        foreach (ReportBody body in set.Bodies())
        {
            await sink.WriteAsync(new Sample(body), stop).ConfigureAwait(false);
        }
    }
}
