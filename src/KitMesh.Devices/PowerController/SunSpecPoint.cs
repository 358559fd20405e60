namespace KitMesh.Devices.PowerController;

/// <summary>One point of a SunSpec model.</summary>
/// <param name="Name">Its name, spelt as published (<c>SocRsvMax</c> beside <c>SoCRsvMin</c>).</param>
/// <param name="Type">Its published type.</param>
/// <param name="Offset">Registers from the model's id, in the first repetition of its group.</param>
/// <param name="Size">Registers.</param>
/// <param name="Scale">The scale point; empty without one.</param>
/// <param name="Repeats">Whether it stands in the repeating group.</param>
internal sealed record SunSpecPoint(string Name, SunSpecType Type, int Offset, int Size, string Scale, bool Repeats);
