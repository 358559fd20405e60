using System.Globalization;
using KitMesh.Devices.Mapping;
using KitMesh.Devices.Modbus;
using KitMesh.Domain.Reports;

namespace KitMesh.Devices.RegisterMap;

/// <summary>Polls the registers of a map, neighbours in one read, and reports what they stand for.</summary>
internal sealed class RegisterMapReader : IReader
{
    private readonly RegisterMapOptions _options;
    private readonly ReaderContext _context;
    private readonly IModbusLink _link;
    private readonly List<List<RegisterEntry>> _reads;

    public RegisterMapReader(string name, RegisterMapOptions options, ReaderContext context)
    {
        Name = name;
        _options = options;
        _context = context;
        _link = options.Link.Open(context.MachineTime);
        _reads = Neighbours(options.Map.Entries.Where(e => Subject(e) is not null));
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

    /// <summary>Registers without a gap between them go into one read, up to the protocol's limit; a gap may be forbidden ground.</summary>
    internal static List<List<RegisterEntry>> Neighbours(IEnumerable<RegisterEntry> entries)
    {
        var reads = new List<List<RegisterEntry>>();
        foreach (RegisterEntry entry in entries)
        {
            if (reads.Count > 0 && reads[^1] is [.., var last] read
                && last.Table == entry.Table
                && entry.Address <= last.Address + last.Size
                && entry.Address + entry.Size - read[0].Address <= ModbusPdu.MaxRegisters)
            {
                read.Add(entry);
            }
            else
            {
                reads.Add([entry]);
            }
        }

        return reads;
    }

    private async Task PollAsync(ISampleSink sink, FaultLatch faults, CancellationToken stop)
    {
        var set = new ReadingSet();
        foreach (List<RegisterEntry> read in _reads)
        {
            ushort start = read[0].Address;
            string part = string.Create(CultureInfo.InvariantCulture, $"{read[0].Table} register {start}");
            ModbusAnswer answer = await _link.ReadAsync(read[0].Table, start, read.Max(e => e.Address + e.Size) - start, stop).ConfigureAwait(false);
            if (answer is not ModbusAnswer.Registers registers)
            {
                string words = $"{_link.Where}, {part}: {ModbusAnswer.Complaint(answer)}";
                await faults.RaiseAsync(part, Subject(read[0]), words, ModbusAnswer.RawOf(answer), stop).ConfigureAwait(false);
                continue;
            }

            string? odd = Fill(set, read, [.. registers.Values]);
            await (odd is null
                ? faults.ClearAsync(part, Subject(read[0]), stop)
                : faults.RaiseAsync(part, Subject(read[0]), $"{_link.Where}, {part}: {odd}", default, stop)).ConfigureAwait(false);
        }

        foreach (ReportBody body in set.Bodies())
        {
            await sink.WriteAsync(new Sample(body), stop).ConfigureAwait(false);
        }
    }

    private string? Fill(ReadingSet set, List<RegisterEntry> read, ushort[] registers)
    {
        string? odd = null;
        foreach (RegisterEntry entry in read)
        {
            if (entry.Decode(registers.AsSpan(entry.Address - read[0].Address, entry.Size)) is not { } value)
            {
                continue;
            }

            if (double.IsFinite(value))
            {
                set.Set(entry.Meaning.Target, Subject(entry)!.Value, entry.Meaning.Field, value, SensorOf(entry));
            }
            else
            {
                odd = string.Create(CultureInfo.InvariantCulture, $"register {entry.Address} holds an infinite number.");
            }
        }

        return odd;
    }

    private KitId? Subject(RegisterEntry entry) => _options.Subjects.Find(entry.Meaning.Target, entry.Meaning.Index);

    private static string SensorOf(RegisterEntry entry) => string.Create(CultureInfo.InvariantCulture, $"register {entry.Address}");
}
