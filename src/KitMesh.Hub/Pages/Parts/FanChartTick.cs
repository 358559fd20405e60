namespace KitMesh.Hub.Pages.Parts;

/// <summary>A mark on a scale.</summary>
/// <param name="At">Where it stands.</param>
/// <param name="TextAt">Where its words stand.</param>
/// <param name="Words">Its words.</param>
internal readonly record struct FanChartTick(string At, string TextAt, string Words);
