using KitMesh.Domain.Kit;

namespace KitMesh.Protocol.Kit;

/// <summary>Kit kind 4 to and from the wire.</summary>
internal static class PersonCodec
{
    public static V1.Person Write(Person person)
    {
        return new V1.Person
        {
            Id = person.Id.Value,
            Team = person.Team.Value,
        };
    }

    public static Person Read(V1.Person message, FieldReader fields)
    {
        return new Person(
            fields.Id(message.Id, "name"),
            fields.Id(message.Team, "team"));
    }
}
