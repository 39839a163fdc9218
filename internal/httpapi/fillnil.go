package httpapi

import "reflect"

// fillNil makes every nil slice within v an empty one: a list on the wire is
// [] when empty, never null, so that the page need not ask.
func fillNil(v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			fillNil(v.Elem())
		}
	case reflect.Struct:
		for i := range v.NumField() {
			fillNil(v.Field(i))
		}
	case reflect.Array:
		for i := range v.Len() {
			fillNil(v.Index(i))
		}
	case reflect.Slice:
		if v.IsNil() && v.CanSet() {
			v.Set(reflect.MakeSlice(v.Type(), 0, 0))
		}
		if v.Type().Elem().Kind() == reflect.Uint8 {
			return // bytes, perhaps many
		}
		for i := range v.Len() {
			fillNil(v.Index(i))
		}
	}
}
