using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Export.Handover;

/// <summary>A sound recording beside a picture clip.</summary>
/// <param name="Recorder">The recorder.</param>
/// <param name="Path">Path of the sound on its card.</param>
/// <param name="Share">How much of the picture it covers, from 0 to 1.</param>
/// <param name="Offset">What was added to the recorder's clock.</param>
/// <param name="ByTimecode">Whether timecode of both told; else the clocks did, with that offset.</param>
internal sealed record SoundBeside(KitId Recorder, string Path, double Share, Duration Offset, bool ByTimecode);
