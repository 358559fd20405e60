using System.Globalization;
using KitMesh.Devices.Mapping;
using KitMesh.Devices.Modbus;
using KitMesh.Domain.Reports;

namespace KitMesh.Devices.PowerController;

/// <summary>Polls one SunSpec device.</summary>
internal sealed class SunSpecReader : IReader
{
    private readonly SunSpecOptions _options;
    private readonly ReaderContext _context;
    private readonly IModbusLink _link;
    private readonly SunSpecWalk _walk;
    private string _identity = "";

    public SunSpecReader(string name, SunSpecOptions options, ReaderContext context)
    {
        Name = name;
        _options = options;
        _context = context;
        _link = options.Link.Open(context.MachineTime);
        _walk = new SunSpecWalk(_link);
    }

    /// <inheritdoc/>
    public string Name { get; }

    /// <inheritdoc/>
    public Task RunAsync(ISampleSink sink, CancellationToken stop)
    {
        var faults = new FaultLatch(Name, sink);
        return PollLoop.RunAsync(_context, _options.Interval, token => PollAsync(sink, faults, token), stop);
    }

    /// <inheritdoc/>
    public ValueTask DisposeAsync() => _link.DisposeAsync();

    private async Task PollAsync(ISampleSink sink, FaultLatch faults, CancellationToken stop)
    {
        KitId? subject = _options.Subjects.Find(ReadingTarget.Battery, 1);
        (IReadOnlyList<SunSpecBlock> blocks, ModbusAnswer? failure) = await _walk.ReadAsync(stop).ConfigureAwait(false);
        if (failure is not null)
        {
            string words = string.Create(CultureInfo.InvariantCulture, $"{_link.Where}: {ModbusAnswer.Complaint(failure)}");
            await faults.RaiseAsync("device", subject, words, ModbusAnswer.RawOf(failure), stop).ConfigureAwait(false);
            return;
        }

        await faults.ClearAsync("device", subject, stop).ConfigureAwait(false);
        await IntroduceAsync(sink, blocks, stop).ConfigureAwait(false);
        var set = new ReadingSet();
        IReadOnlyList<string> doubts = SunSpecReadings.Fill(set, blocks, _options);
        await (doubts.Count > 0
            ? faults.RaiseAsync("values", subject, string.Join(" ", doubts), default, stop)
            : faults.ClearAsync("values", subject, stop)).ConfigureAwait(false);
        foreach (ReportBody body in set.Bodies())
        {
            await sink.WriteAsync(new Sample(body), stop).ConfigureAwait(false);
        }
    }

    private async ValueTask IntroduceAsync(ISampleSink sink, IReadOnlyList<SunSpecBlock> blocks, CancellationToken stop)
    {
        if (blocks.FirstOrDefault(b => b.Model.Id == 1) is not { } common)
        {
            return;
        }

        string identity = $"{common.Text("Mn")} {common.Text("Md")}, version {common.Text("Vr")}, serial number {common.Text("SN")}";
        if (identity != _identity)
        {
            _identity = identity;
            await sink.WriteAsync(new Sample(new Note(Name, _options.Subjects.Find(ReadingTarget.Battery, 1), $"The device says that it is: {identity}.")), stop).ConfigureAwait(false);
        }
    }
}
