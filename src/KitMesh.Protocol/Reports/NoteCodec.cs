using KitMesh.Domain.Reports;

namespace KitMesh.Protocol.Reports;

/// <summary>Kind 13 to and from the wire.</summary>
internal static class NoteCodec
{
    public static V1.Note Write(Note note)
    {
        var message = new V1.Note
        {
            Author = note.Author,
            Text = note.Text,
        };
        if (note.Subject is { } subject)
        {
            message.Subject = subject.Value;
        }

        return message;
    }

    public static Note Read(V1.Note message, FieldReader fields)
    {
        return new Note(
            message.Author,
            fields.Id(message.HasSubject, message.Subject, "subject"),
            message.Text);
    }
}
