using KitMesh.Domain.Reports;

namespace KitMesh.Storage.Segments;

/// <summary>One report inside a segment.</summary>
/// <param name="TimeNanoseconds">When it was written, as is believed now.</param>
/// <param name="ArrivedNanoseconds">When it was journalled here.</param>
/// <param name="Kind">Its kind.</param>
/// <param name="Bytes">The original bytes.</param>
internal readonly record struct SegmentEntry(long TimeNanoseconds, long ArrivedNanoseconds, ReportKind Kind, ReadOnlyMemory<byte> Bytes);
