using System.Buffers.Binary;
using System.Collections.Immutable;
using System.Security.Cryptography;
using System.Text;
using KitMesh.Domain.Reports;

namespace KitMesh.Sync.Merge;

/// <summary>What merging means, as a value: a set of reports keyed by (origin, sequence, content hash).</summary>
/// <remarks>
/// Union is commutative, associative and idempotent, and a set only grows: a join. Journals and stores implement the
/// same on disk; tests and the simulator hold them against this. A fork is two entries under one key of origin and
/// sequence, and both stay.
/// </remarks>
public sealed class ReportSet : IEquatable<ReportSet>
{
    /// <summary>No report.</summary>
    public static readonly ReportSet Empty = new(ImmutableSortedDictionary<Entry, ReadOnlyMemory<byte>>.Empty);

    private readonly ImmutableSortedDictionary<Entry, ReadOnlyMemory<byte>> _reports;

    private ReportSet(ImmutableSortedDictionary<Entry, ReadOnlyMemory<byte>> reports) => _reports = reports;

    /// <summary>How many reports there are, forks included.</summary>
    public int Count => _reports.Count;

    /// <summary>Every report, by origin, sequence and content hash.</summary>
    public IEnumerable<RawReport> Reports => _reports.Select(entry => new RawReport(entry.Key.Key, entry.Value));

    /// <summary>Every key with more than one content.</summary>
    public IEnumerable<ReportKey> Forks =>
        _reports.Keys.GroupBy(entry => entry.Key).Where(group => group.Count() > 1).Select(group => group.Key);

    /// <summary>The set of some reports.</summary>
    /// <param name="reports">The reports, in any order, duplicates too.</param>
    public static ReportSet Of(IEnumerable<RawReport> reports)
    {
        ArgumentNullException.ThrowIfNull(reports);
        ImmutableSortedDictionary<Entry, ReadOnlyMemory<byte>>.Builder builder = Empty._reports.ToBuilder();
        foreach (RawReport report in reports)
        {
            builder[Entry.Of(report)] = report.Bytes;
        }

        return new ReportSet(builder.ToImmutable());
    }

    /// <summary>The set with one more report.</summary>
    /// <param name="report">The report.</param>
    /// <param name="outcome">Whether it was new, a duplicate or a fork.</param>
    public ReportSet With(RawReport report, out MergeOutcome outcome)
    {
        var entry = Entry.Of(report);
        if (_reports.ContainsKey(entry))
        {
            outcome = MergeOutcome.Duplicate;
            return this;
        }

        outcome = _reports.Keys.Any(other => other.Key == report.Key) ? MergeOutcome.Fork : MergeOutcome.New;
        return new ReportSet(_reports.Add(entry, report.Bytes));
    }

    /// <summary>Everything that is in either set.</summary>
    /// <param name="other">The other set.</param>
    public ReportSet Union(ReportSet other)
    {
        ArgumentNullException.ThrowIfNull(other);
        return new ReportSet(_reports.SetItems(other._reports));
    }

    /// <summary>Whether everything in the other set is in this one.</summary>
    /// <param name="other">The other set.</param>
    public bool Holds(ReportSet other)
    {
        ArgumentNullException.ThrowIfNull(other);
        return other._reports.Keys.All(_reports.ContainsKey);
    }

    /// <summary>SHA-256 over every (origin, sequence, content hash) in order: equal exactly for equal sets.</summary>
    public Sha256Hash Fingerprint()
    {
        using var hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        Span<byte> numbers = stackalloc byte[2 * sizeof(ulong)];
        foreach (Entry entry in _reports.Keys)
        {
            hash.AppendData(Encoding.ASCII.GetBytes(entry.Key.Origin.Node.Value));
            hash.AppendData([0]);
            BinaryPrimitives.WriteUInt64BigEndian(numbers, entry.Key.Origin.Epoch);
            BinaryPrimitives.WriteUInt64BigEndian(numbers[sizeof(ulong)..], entry.Key.Sequence);
            hash.AppendData(numbers);
            hash.AppendData(entry.Content.ToArray());
        }

        Span<byte> value = stackalloc byte[Sha256Hash.Size];
        hash.GetHashAndReset(value);
        return Sha256Hash.Read(value);
    }

    /// <inheritdoc/>
    public bool Equals(ReportSet? other) => other is not null && Count == other.Count && Holds(other);

    /// <inheritdoc/>
    public override bool Equals(object? obj) => Equals(obj as ReportSet);

    /// <inheritdoc/>
    public override int GetHashCode() => Fingerprint().GetHashCode();

    private readonly record struct Entry(ReportKey Key, Sha256Hash Content) : IComparable<Entry>
    {
        public static Entry Of(RawReport report) => new(report.Key, Sha256Hash.Of(report.Bytes.Span));

        public int CompareTo(Entry other)
        {
            int byKey = Key.CompareTo(other.Key);
            return byKey != 0 ? byKey : Content.CompareTo(other.Content);
        }
    }
}
