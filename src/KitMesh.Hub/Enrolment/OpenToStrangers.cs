namespace KitMesh.Hub.Enrolment;

/// <summary>Marks an end point that may answer a stranger.</summary>
internal sealed class OpenToStrangers
{
    public static readonly OpenToStrangers Instance = new();
}
