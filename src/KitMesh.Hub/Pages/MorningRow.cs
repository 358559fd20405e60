using KitMesh.Domain.Reports;

namespace KitMesh.Hub.Pages;

/// <summary>One camera or recorder before the day begins.</summary>
/// <param name="Device">The device.</param>
/// <param name="Team">Whose it is.</param>
/// <param name="Ready">Whether battery, memory and footage rules let it go out.</param>
/// <param name="Battery">How long its battery runs, in words.</param>
/// <param name="Memory">How much its cards still take, in words.</param>
/// <param name="Holder">Who wears or carries it, in words.</param>
/// <param name="Timecode">When its timecode was set, in words.</param>
/// <param name="Todo">What to do before it goes out; empty when nothing.</param>
public sealed record MorningRow(KitId Device, KitId Team, bool Ready, string Battery, string Memory, string Holder, string Timecode, IReadOnlyList<string> Todo);
