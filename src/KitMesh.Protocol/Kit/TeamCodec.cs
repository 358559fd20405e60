using KitMesh.Domain.Kit;

namespace KitMesh.Protocol.Kit;

/// <summary>Kit kind 3 to and from the wire.</summary>
internal static class TeamCodec
{
    public static V1.Team Write(Team team)
    {
        return new V1.Team
        {
            Id = team.Id.Value,
            Home = team.Home.Value,
        };
    }

    public static Team Read(V1.Team message, FieldReader fields)
    {
        return new Team(
            fields.Id(message.Id, "name"),
            fields.Id(message.Home, "home"));
    }
}
