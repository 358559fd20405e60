using KitMesh.Domain.Quantities;

namespace KitMesh.Domain.Digest;

/// <summary>The footage in a digest line. Counts that are too great for their bits stand at their greatest value, which then means "or more".</summary>
/// <param name="OnHold">Cards on hold or never read: not to be formatted; up to 63.</param>
/// <param name="PastEvening">Of those, past the evening of their rule; up to 15.</param>
/// <param name="FormattedShort">Cards formatted while footage on them is short of copies; up to 15.</param>
/// <param name="MayBeFormatted">Cards that may be formatted; up to 63.</param>
/// <param name="LossBest">The chance that any clip is lost by the last day.</param>
/// <param name="LossLow">The same when the doubtful inputs turn out well.</param>
/// <param name="LossHigh">The same when they turn out badly.</param>
/// <param name="RoomLasts">The chance that every copy still finds room on the last day.</param>
/// <param name="Drives">The drives that fill first.</param>
public sealed record DigestFootage(
    int OnHold,
    int PastEvening,
    int FormattedShort,
    int MayBeFormatted,
    Probability? LossBest,
    Probability? LossLow,
    Probability? LossHigh,
    Probability? RoomLasts,
    ValueList<DigestDrive> Drives);
